"""Forms of what was seen, drawn from `audit.forms`; a grid is one row of choices per machine."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from witnessmark.audit.forms import FORMS, Field
from witnessmark.audit.items import Observation
from witnessmark.web.desk.audit_page import AuditPage
from witnessmark.web.desk.working.fields import SHORT, choice, line, moment, text

PERMISSIONS = (
    ("given", "Permission was given"),
    ("not-needed", "The rules of the site allow it"),
    ("kept-by-plant", "The plant keeps the original"),
)
MOST_MACHINES = 400


@dataclass(frozen=True)
class GridRow:
    """One machine of a grid."""

    machine: str
    name: str
    chosen: str


class ObservationForm(forms.Form):
    """What was seen, in one of the forms."""

    def __init__(
        self,
        page: AuditPage,
        form: str,
        *args: Any,
        item: Observation | None = None,
        further: str = "",
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self._further = further
        self.form = FORMS[form]
        self._values = item.values if item else {}
        self.grid = next((field for field in self.form.fields if field.kind == "grid"), None)
        if self.form.by_machine:
            known = machines_of(page)
            self.fields["machine"] = line(
                "Machine", required=True, widget=forms.TextInput({"list": "known-machines"})
            )
            self.known = known
        for field in self.form.fields:
            if field.kind != "grid":
                self.fields[f"v-{field.name}"] = _field(page, field)
        if self.grid:
            self.machines = self._machines(page)
        is_free = form == "free"
        self.fields["note"] = text(
            "What was seen" if is_free else "Note",
            "When, where, which machine, part, lot: what another would have seen too."
            if is_free
            else "",
            required=False,
        )
        self.fields["place"] = line("Where")
        self.fields["seen_at"] = moment(page, "When it was seen", "Empty for now.")
        self.fields["agreed_by"] = line(
            "Agreed on the spot by", "The role of whoever agreed that it is so."
        )

    def rows(self) -> Iterator[GridRow]:
        """The machines of the grid, each with what was chosen."""
        saved = self._values.get("grid", {}) if self.grid else {}
        chosen = saved if isinstance(saved, dict) else {}
        for number, machine in enumerate(self.machines):
            name = f"grid-{number}"
            given = str(self.data.get(name, "")) if self.is_bound else chosen.get(machine, "")
            yield GridRow(machine, name, str(given))

    @property
    def values(self) -> dict[str, Any]:
        """The answers as the action wants them; what was left empty is left out."""
        told: dict[str, Any] = {}
        for field in self.form.fields:
            if field.kind == "grid":
                chosen = {row.machine: row.chosen for row in self.rows() if row.chosen}
                told[field.name] = chosen
                continue
            value = self.cleaned_data.get(f"v-{field.name}")
            if field.kind == "lots":
                value = [lot.strip() for lot in str(value or "").split("\n") if lot.strip()]
            if value not in (None, "", []):
                told[field.name] = value
        return {name: value for name, value in told.items() if value not in ({}, [])}

    def _machines(self, page: AuditPage) -> list[str]:
        """Machines as the sent form listed them, else those of the audit."""
        if self.is_bound:
            sent = (str(self.data.get(f"machine-{n}", "")) for n in range(MOST_MACHINES))
            found = [name[:SHORT] for name in sent if name]
        else:
            saved = self._values.get("grid", {})
            named = list(saved) if isinstance(saved, dict) else []
            found = [*machines_of(page), *named]
            found += [name.strip()[:SHORT] for name in self._further.split(",") if name.strip()]
        return list(dict.fromkeys(found))[:MOST_MACHINES]


class PhotoForm(forms.Form):
    """A photo with its ground and caption."""

    file = forms.FileField(
        label="Photo",
        help_text="JPEG, PNG, WebP or HEIC. Nobody’s face, nobody’s name.",
        widget=forms.ClearableFileInput({"accept": "image/*"}),
    )
    permission = choice("On what ground it was taken", PERMISSIONS)
    caption = line("Caption", "What it shows.", required=True)

    def photo(self) -> "UploadedFile[Any]":
        """The file that was sent."""
        file: UploadedFile[Any] = self.cleaned_data["file"]
        return file


class DocumentForm(forms.Form):
    """A document that was read on the spot."""

    title = line("Document", "Its number and title.", required=True)
    revision = line("Revision")
    page = line("Page or line")
    text = text("What it says there", "Word for word.", required=False)
    receipt = line(
        "Receipt", "Where the plant keeps the original for you: under which number or whose hand."
    )
    place = line("Where it was read")


def machines_of(page: AuditPage) -> list[str]:
    """Machines that the audit knows: of the scope, and of earlier observations."""
    seen: list[str] = []
    for item in page.state.observations.values():
        grid = item.values.get("grid")
        seen += [item.machine, *(grid if isinstance(grid, dict) else ())]
    return [name for name in dict.fromkeys([*page.state.scope.machines, *seen]) if name]


def initial_of(item: Observation, note: str) -> dict[str, Any]:
    """An observation as its form takes it."""
    told: dict[str, Any] = {
        "machine": item.machine,
        "place": item.place,
        "seen_at": item.seen_at,
        "agreed_by": item.agreed_by,
        "note": note,
    }
    for name, value in item.values.items():
        told[f"v-{name}"] = "\n".join(value) if isinstance(value, list | tuple) else value
    return told


def _field(page: AuditPage, field: Field) -> Any:
    match field.kind:
        case "word":
            offered = [(word, word.capitalize()) for word in field.words]
            if not field.needed:
                offered.append(("", "Not looked at"))
            return choice(field.label, offered, required=field.needed, initial="")
        case "count":
            widget = forms.NumberInput({"inputmode": "numeric"})
            return forms.IntegerField(
                label=field.label, min_value=0, max_value=2**53 - 1, required=field.needed,
                widget=widget,
            )  # fmt: skip
        case "instant":
            return moment(page, field.label, required=field.needed)
        case "lots":
            return text(field.label, "One on each line.", required=field.needed, rows=6)
        case _:
            return line(field.label, required=field.needed)
