// Package history puts each mold's casts in order and counts its age.
//
// Every stage that asks about molds (wall, life, watch) starts from the Log
// built here. It imports tables only.
package history

import "moldwright/pipeline/tables"

// Log is the studio's casts, mold by mold and in order of time.
type Log struct {
	Molds []Mold   // sorted by name
	Casts []Cast   // Casts[m.First:m.Last] are the casts of mold m, oldest first
	Slips []string // names of the batches of slip as written, by Cast.Slip; the first is ""
	AsOf  tables.Date
}

// Mold is one mold and its range of casts.
type Mold struct {
	Mold      string
	Form      string // "" where the log does not say
	Kind      string // split, one-piece, multi-part, or "unknown"
	Status    string // in use, retired or broken
	EndReason string // worn, slow, detail, broken, chipped, other, or ""
	EndedOn   tables.Date
	BeforeLog int // casts made before the log begins
	Age       int // casts made so far, those before the log included
	First     int
	Last      int
}

// InUse reports whether the mold can still make casts.
func (m Mold) InUse() bool { return m.Status == StatusInUse }

// Slip is the name of a cast's batch of slip, "" where it was not logged.
func (l Log) Slip(c Cast) string {
	if i := c.Slip.index(); i < len(l.Slips) {
		return l.Slips[i]
	}
	return ""
}
