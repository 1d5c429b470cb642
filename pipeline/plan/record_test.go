package plan

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

func TestSettingsAreRecordedWithAbsentNumbersAsNull(t *testing.T) {
	set := Defaults()
	set.Requests = []Request{{Form: "bowl", Pieces: 9, TargetMM: tables.Absent()}, {Form: "mug", TargetMM: 4.5}}
	data, err := json.Marshal(set)
	require.NoError(t, err)
	text := string(data)
	require.Contains(t, text, `"RestHours":null`)
	require.Contains(t, text, `"Form":"bowl","Pieces":9`)
	require.Contains(t, text, `"TargetMM":null`)
	require.Contains(t, text, `"TargetMM":4.5`)
	set.Rhythm.RestHours, set.Rhythm.CastsPerDay = 5, 2
	data, err = json.Marshal(set)
	require.NoError(t, err)
	require.Contains(t, string(data), `"CastsPerDay":2`)
	require.Contains(t, string(data), `"RestHours":5`)
}
