// Package advice turns answers into what to do next, in plain words.
package advice

// Readers of the report.
const (
	ForPotter     = "Casting this week"
	ForShelf      = "The mold shelf"
	ForInstructor = "Plaster"
)

// Item is one thing worth knowing or doing.
type Item struct {
	For     string // one of the readers
	Urgent  bool   // needs action now
	Finding string // what is the case, with figures, units and interval
	Do      string // what to do about it, "" where nothing
	Sheet   string // workbook sheet with the figures behind it
	About   string // whose figures: the mold, order, group or change as that sheet names it, "" where the item is about all
	Brief   string // the finding in a dozen words without a stop at the end, for the end of a run; "" where it is not for that
}

// Missing is an answer that could not be given.
type Missing struct {
	Answer  string // "remaining casts"
	Because string // "no form has a longest dwell"
	Add     string // "fill in longest_dwell on the forms sheet: …"
}
