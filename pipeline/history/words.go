package history

// Statuses of a mold, and the kind of a mold whose kind was not logged.
const (
	StatusInUse   = "in use"
	StatusRetired = "retired"
	StatusBroken  = "broken"
	UnknownKind   = "unknown"
)
