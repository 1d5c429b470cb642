package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAProgramIsStoppedWithWhatItStarted(t *testing.T) {
	start := time.Now()
	r := timed(context.Background(), 200*time.Millisecond, []string{"sh", "-c", "sleep 30 & sleep 30; wait"})
	assert.Less(t, time.Since(start), 5*time.Second)
	assert.True(t, strings.HasPrefix(r.failed, "stopped after"), r.failed)
}

func TestWhatAProgramTakesAndWhyItFailed(t *testing.T) {
	r := timed(context.Background(), time.Minute, []string{"sh", "-c", "i=0; while [ $i -lt 20000 ]; do i=$((i+1)); done"})
	require.Empty(t, r.failed)
	assert.Positive(t, r.cpu)
	assert.Positive(t, r.peakMiB)
	r = timed(context.Background(), time.Minute, []string{"sh", "-c", "echo 'Error in f: no room' >&2; echo Execution halted >&2; exit 1"})
	assert.Contains(t, r.failed, "Error in f: no room")
}

func TestAnswersApartAreTold(t *testing.T) {
	all := map[string]answers{"report": {"exponent": 0.5, "waste_kg": 100}, "r": {"exponent": 0.5001, "waste_kg": 101}}
	p := page{sizes: []size{{casts: 1000, answers: all, runs: map[string]run{"report": {wall: 1}, "r": {wall: 20}}}}, set: settings{repeats: 1}}
	text := p.text()
	assert.Contains(t, text, "| 1,000 | exponent |  | 0.5 |  | 0.5001 |  | 0.0002 | 0.016 | agree |")
	assert.Contains(t, text, "| 0.01 | 0.0001 | **differ** |")
	assert.Contains(t, text, "| 20.00 |  |", "R took 20 times as long")
	assert.False(t, p.sound())
	all["r"]["waste_kg"] = 100
	assert.True(t, p.sound())
}

func TestTheTablesOfAReportAreRead(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "tables"), 0o755))
	for name, text := range map[string]string{
		"wall_fit":   "model,term,estimate\n\"power law, exponent free\",exponent of dwell,0.47\n\"power law, exponent free\",\"age, split\",-0.004\nparabola,\"age, split\",-9\n",
		"life_fit":   "kind,data_shape,data_scale\nsplit,2.5,60\none-piece,,\n",
		"pour_waste": "pour,leftover_kg,spilled_kg,trimmed_kg,failed_kg\nP1,1,0.5,,0\nP2,,,,7\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "tables", name+".csv"), []byte(text), 0o644))
	}
	a, err := reportAnswers(dir)
	require.NoError(t, err)
	assert.Equal(t, answers{"exponent": 0.47, "wear split": 0.004, "shape split": 2.5, "scale split": 60, "waste_kg": 8.5}, a)
}
