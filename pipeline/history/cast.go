package history

import (
	"moldwright/pipeline/tables"
)

// Cast is one cast with its place in its mold's life. A large log has tens of
// millions of them, so it is kept to 40 bytes.
type Cast struct {
	Row      int32 // row in the casts table
	Mold     int32 // index in Log.Molds
	Age      int32 // casts that the mold made before this one
	Date     tables.Date
	DwellMin float64 // absent where not usable
	WallMM   float64 // wet wall in mm, absent where not usable
	TimeMin  float32 // minutes after midnight, absent where not logged; see Minute
	Slip     SlipNumber
	Result   Result
}

// Minute is the time of day in minutes after midnight, absent where not logged.
func (c Cast) Minute() float64 { return float64(c.TimeMin) }

// SlipNumber is the place of a batch of slip in Log.Slips, in three bytes; the
// zero SlipNumber is that of a slip that was not logged.
type SlipNumber [3]byte

// mostSlips is how many batches of slip a SlipNumber can tell apart.
const mostSlips = 1 << 24

// NumberOfSlip is the number of the batch at that place of Log.Slips. It panics
// where that is out of range.
func NumberOfSlip(index int) SlipNumber {
	if index < 0 || index >= mostSlips {
		panic("history: no number for that many batches of slip")
	}
	return SlipNumber{byte(index), byte(index >> 8), byte(index >> 16)}
}

func (s SlipNumber) index() int { return int(s[0]) | int(s[1])<<8 | int(s[2])<<16 }

// Result is what became of a cast's piece.
type Result uint8

// Results of a cast. The zero Result is that of a cast without one.
const (
	NoResult Result = iota
	Good
	Second
	Reject
)

// ResultOf is the result of that word; NoResult for any but "good", "second" and
// "reject", which are the only ones that reading lets through.
func ResultOf(word string) Result {
	switch word {
	case "good":
		return Good
	case "second":
		return Second
	case "reject":
		return Reject
	}
	return NoResult
}

// String is the word for the result, "" for none.
func (r Result) String() string {
	switch r {
	case Good:
		return "good"
	case Second:
		return "second"
	case Reject:
		return "reject"
	}
	return ""
}
