package pipeline

import (
	"moldwright/pipeline/advice"
	"moldwright/pipeline/hindcast"
	"moldwright/pipeline/history"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
)

// Result is everything a report shows. Reports format it and compute nothing.
type Result struct {
	Settings Settings
	Reading  ingest.Reading // what was read, from where, and how many rows
	Studio   tables.Studio  // as read; of the casts only places and walls, which Log does not hold
	Log      history.Log
	Wall     wall.Answer
	Life     life.Answer
	Hindcast hindcast.Answer
	Watch    watch.Answer
	Plaster  plaster.Answer
	Plan     plan.Answer
	Problems []tables.Problem  // of all stages, sorted by file, sheet and row
	Advice   []advice.Item     // what to do next, for each of the three readers
	Links    map[string]string // by name of an input the way to it from the report, with forward slashes
	NotGiven []advice.Missing  // answers that could not be given, why, and what would give them
	Cautions []string          // the usual cautions for work with plaster, saws and kilns
	Stages   []StageTime
}

// StageTime is how long a stage took, in seconds of wall time.
type StageTime struct {
	Stage   string  `json:"stage"`
	Seconds float64 `json:"seconds"`
}
