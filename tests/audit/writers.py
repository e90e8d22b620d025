"""Two writers at once, for any store."""

from concurrent.futures import ThreadPoolExecutor

from tests.audit.strategies import Device

from witnessmark.audit.act import Delivery, Desk
from witnessmark.audit.actions.hear_statement import HearStatement
from witnessmark.audit.actions.open_audit import OpenAudit
from witnessmark.audit.canonical import canonical, commitment
from witnessmark.audit.journal import Payload, check_chain
from witnessmark.audit.people import Actor, Role

EACH = 12


def write_at_once(desk: Desk, audit: str, finish=lambda: None):
    """Two people at the desk and two notebooks write at the same time; nothing is lost."""
    lead = Actor("u1", Role.LEAD)
    desk.act(audit, lead, OpenAudit(title="Turning", process="bar turning"))

    def at_desk(name):
        try:
            return [
                desk.act(audit, lead, HearStatement(role=name), {"words": f"{name} {n}"}).event.id
                for n in range(EACH)
            ]
        finally:
            finish()

    def notebook(number):
        device, kept = Device(number), []
        try:
            for n in range(EACH):
                payload = Payload(f"{number:064d}", f"{number}.{n}")
                mark = commitment(payload.salt, payload.text)
                event = device.write(HearStatement(role="phone", words=mark), n)
                data = canonical(event.as_json()).decode()
                delivery = Delivery(data, {mark: payload})
                for _ in range(2):  # an answer that was lost is asked for again
                    received, _ = desk.receive(Actor(event.author, Role.AUDITOR), delivery)
                kept.append(received.event.id)
        finally:
            finish()
        return kept

    with ThreadPoolExecutor(4) as pool:
        jobs = [pool.submit(at_desk, "a"), pool.submit(at_desk, "b")]
        jobs += [pool.submit(notebook, 1), pool.submit(notebook, 2)]
        acknowledged = [id_ for job in jobs for id_ in job.result()]
    received = desk.store.received(audit)
    assert check_chain(received) == 1 + 4 * EACH
    assert sorted(item.event.id for item in received[1:]) == sorted(acknowledged)
    statements = desk.state(audit).statements
    assert sorted(statements) == sorted(acknowledged)
    assert all(desk.store.reveal(item.words_sealed) for item in statements.values())
