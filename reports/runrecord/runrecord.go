// Package runrecord writes run.json: what went into a run, what was used, and
// how long it took. Every key is always there.
package runrecord

import (
	"encoding/json"
	"io"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
)

// Record is a run as it is written down.
type Record struct {
	Program  string               `json:"program"`
	Versions Versions             `json:"versions"`
	AsOf     string               `json:"as_of"`
	Seed     uint64               `json:"seed"`
	Settings pipeline.Settings    `json:"settings"`
	Inputs   []Input              `json:"inputs"`
	Rows     Rows                 `json:"rows"`
	Problems map[string]int       `json:"problems"` // by severity
	Answers  Answers              `json:"answers"`
	NotGiven []NotGiven           `json:"not_given"`
	Stages   []pipeline.StageTime `json:"stages"` // the only part that differs between two runs on the same inputs
}

// Input is a file that was read.
type Input struct {
	File       string  `json:"file"`
	SHA256     string  `json:"sha256"`
	Bytes      int64   `json:"bytes"`
	Unreadable string  `json:"unreadable"` // why, or ""
	Sheets     []Sheet `json:"sheets"`
}

// Sheet is a sheet of an input.
type Sheet struct {
	Sheet string `json:"sheet"`
	Table string `json:"table"` // what it was taken for, or ""
	Rows  Rows   `json:"rows"`
}

// Rows is the account of rows: read = used + set aside + not data.
type Rows struct {
	Read     int `json:"read"`
	Used     int `json:"used"`
	SetAside int `json:"set_aside"`
	NotData  int `json:"not_data"`
}

// Answers counts what was answered.
type Answers struct {
	WallLaw        string `json:"wall_law"` // chosen law, "" without a fit
	CastsUsed      int    `json:"casts_used"`
	MoldsInUse     int    `json:"molds_in_use"`
	MoldsFlagged   int    `json:"molds_flagged"`
	PoursBalanced  int    `json:"pours_balanced"`
	AdviceUrgent   int    `json:"advice_urgent"`
	AnswersMissing int    `json:"answers_missing"`
	OrdersPlanned  int    `json:"orders_planned"`
	OrdersOnTime   int    `json:"orders_on_time"` // with the chance asked for, by the molds in hand
}

// NotGiven is an answer that could not be given.
type NotGiven struct {
	Answer  string `json:"answer"`
	Because string `json:"because"`
	Add     string `json:"add"`
}

// Of is the record of a result.
func Of(res pipeline.Result) Record {
	r := Record{
		Program: "moldwright", Versions: Built(), AsOf: res.Log.AsOf.String(), Seed: res.Settings.Seed,
		Settings: res.Settings, Inputs: []Input{}, Problems: map[string]int{}, Answers: answers(res),
		NotGiven: []NotGiven{}, Stages: res.Stages,
	}
	r.Rows = rows(res.Reading.Rows())
	for _, f := range res.Reading.Files {
		in := Input{File: f.Name, SHA256: f.SHA256, Bytes: f.Bytes, Unreadable: f.Unreadable, Sheets: []Sheet{}}
		for _, s := range f.Sheets {
			in.Sheets = append(in.Sheets, Sheet{Sheet: s.Name, Table: s.Table, Rows: rows(s.RowsRead, s.RowsUsed, s.RowsAside, s.RowsNoData)})
		}
		r.Inputs = append(r.Inputs, in)
	}
	for _, p := range res.Problems {
		r.Problems[p.Severity]++
	}
	for _, m := range res.NotGiven {
		r.NotGiven = append(r.NotGiven, NotGiven(m))
	}
	return r
}

func rows(read, used, aside, noData int) Rows { return Rows{read, used, aside, noData} }

func answers(res pipeline.Result) Answers {
	a := Answers{
		WallLaw: res.Wall.Chosen, CastsUsed: res.Wall.CastsUsed(), PoursBalanced: len(res.Plaster.Pours), AnswersMissing: len(res.NotGiven),
	}
	for _, m := range res.Log.Molds {
		if m.InUse() {
			a.MoldsInUse++
		}
	}
	for _, w := range res.Watch.Molds {
		if w.Flagged {
			a.MoldsFlagged++
		}
	}
	for _, o := range res.Plan.Orders {
		if v := advice.Verdict(o, res.Settings.Plan.Goal); v != advice.VerdictNone {
			a.OrdersPlanned++
			if v == advice.VerdictFine {
				a.OrdersOnTime++
			}
		}
	}
	for _, it := range res.Advice {
		if it.Urgent {
			a.AdviceUrgent++
		}
	}
	return a
}

// Write writes the record as indented JSON.
func Write(w io.Writer, r Record) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(r)
}
