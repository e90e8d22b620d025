"""Words of the pages around an audit for what stands in the journal as a key."""

ROLES = {
    "programme-owner": "Programme owner",
    "lead-auditor": "Lead auditor",
    "auditor": "Auditor",
    "auditee": "Auditee",
    "observer": "Observer",
}
GRADES = {
    "none": "No finding",
    "opportunity": "Opportunity",
    "minor": "Minor nonconformity",
    "major": "Major nonconformity",
}
FINDING_STATES = {
    "draft": "Draft",
    "graded": "Graded, not issued",
    "issued": "Issued",
    "closed": "Closed",
    "withdrawn": "Withdrawn",
}
PHOTOS = {
    "allowed": "Photos are allowed",
    "ask-each-time": "Ask before each photo",
    "not-allowed": "No photos",
}
CITED = {
    "statement": "a statement",
    "observation": "an observation",
    "document": "a document",
    "photo": "a photo",
    "request": "evidence asked for",
}
RESPONSE = {
    "containment": "Containment",
    "quantities": "Quantities",
    "correction": "Correction",
    "cause_occurrence": "Why it happened",
    "cause_detection": "Why it was not noticed",
    "cause_system": "Why the system allowed it",
    "action": "Action",
    "owner_role": "Who does it",
    "due": "By when",
    "implemented_on": "Done on",
    "similar_examined": "Also examined",
    "documents_changed": "Documents changed",
}
