package plan

import (
	"encoding/json"

	"moldwright/pipeline/tables"
)

// MarshalJSON writes the settings for the record of a run; an absent number is null.
func (r Rhythm) MarshalJSON() ([]byte, error) {
	type plain Rhythm
	return json.Marshal(struct {
		plain
		RestHours *float64
	}{plain(r), present(r.RestHours)})
}

// MarshalJSON writes the request for the record of a run; an absent number is null.
func (r Request) MarshalJSON() ([]byte, error) {
	type plain Request
	return json.Marshal(struct {
		plain
		TargetMM *float64
	}{plain(r), present(r.TargetMM)})
}

func present(x float64) *float64 {
	if !tables.Has(x) {
		return nil
	}
	return &x
}
