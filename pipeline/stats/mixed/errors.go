package mixed

import (
	"errors"
	"fmt"
	"strings"
)

// What can be wrong with the data of a fit. Fit wraps them with the counts;
// test with errors.Is.
var (
	ErrNoRows     = errors.New("no rows with a positive weight")
	ErrNoFixed    = errors.New("the model has no fixed effects: give at least one column of X, for example a constant 1")
	ErrTooFewRows = errors.New("too few rows")
	ErrOneGroup   = errors.New("all rows belong to one group, so the scatter between groups cannot be seen: at least two groups are needed")
	ErrNoSpare    = errors.New("no group has more rows than random effects, so the scatter within groups cannot be told from the scatter between them")
	ErrExactFit   = errors.New("the model reproduces y exactly, so there is no scatter left to estimate")
	ErrNoOptimum  = errors.New("the search for the most likely variances did not settle")
)

// RowError says which row of Sums.Add cannot be used.
type RowError struct {
	Row   int // 0 for the first call of Add
	Group int
	What  string
}

func (e *RowError) Error() string {
	return fmt.Sprintf("row %d (group %d): %s", e.Row, e.Group, e.What)
}

// Part names one of the two sets of columns.
type Part int

const (
	FixedColumns  Part = iota // X
	RandomColumns             // Z
)

func (p Part) String() string {
	if p == RandomColumns {
		return "Z"
	}
	return "X"
}

// AliasedError lists the columns that are zero or are combinations of columns
// before them, so that the data cannot tell their effects apart. Dropping the
// listed columns leaves independent ones.
type AliasedError struct {
	Part    Part
	Columns []int // ascending, 0 for the first column
}

func (e *AliasedError) Error() string {
	names := make([]string, len(e.Columns))
	for i, c := range e.Columns {
		names[i] = fmt.Sprint(c)
	}
	return fmt.Sprintf("columns of %s that are zero or follow from the columns before them: %s; leave them out",
		e.Part, strings.Join(names, ", "))
}
