// Package pipeline runs the stages in order: spreadsheets to rows, rows to
// answers. Each stage is a package below it and hands the next a value.
package pipeline

import (
	"moldwright/pipeline/format"
	"moldwright/pipeline/hindcast"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/ingest/mapping"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
)

// Settings are the choices that a run depends on beside its inputs. The zero
// value is not usable: start from Defaults.
type Settings struct {
	AsOf      tables.Date      // the day forecasts start from; NoDate: the last day in the log
	Seed      uint64           // seed of all random draws
	DateOrder ingest.DateOrder // how to read dates whose column does not tell
	Mapping   *mapping.Mapping // what sheets and columns mean whose names do not tell; nil for none
	Units     format.Units     // of all reports; the plain tables stay SI
	Days      format.Days      // how reports write days
	Paper     format.Paper     // that the workbook is set up for; "": the usual one of the units
	Wall      wall.Settings
	Life      life.Settings
	Hindcast  hindcast.Settings
	Watch     watch.Settings
	Plaster   plaster.Settings
	Plan      plan.Settings
}

// Defaults are the settings of a run without options.
func Defaults() Settings {
	return Settings{
		AsOf: tables.NoDate, Seed: 1, Units: format.Metric, Days: format.ISO,
		Wall: wall.Defaults(), Life: life.Defaults(), Hindcast: hindcast.Defaults(), Watch: watch.Defaults(), Plaster: plaster.Defaults(),
		Plan: plan.Defaults(),
	}
}
