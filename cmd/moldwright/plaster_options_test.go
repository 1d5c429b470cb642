package main

import (
	"testing"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"

	"moldwright/pipeline/plaster"
)

func plasterSettings(t *testing.T, args ...string) (plaster.Settings, error) {
	t.Helper()
	flags := pflag.NewFlagSet("report", pflag.ContinueOnError)
	opts := addPlasterOptions(flags)
	require.NoError(t, flags.Parse(args))
	return opts.settings(plaster.Defaults())
}

func TestPlasterOptionsReachTheSettings(t *testing.T) {
	set, err := plasterSettings(t)
	require.NoError(t, err)
	require.Equal(t, plaster.Defaults(), set, "without options nothing changes")

	set, err = plasterSettings(t, "--pours", "C1=12", "--pours", "Tue, 6 pm = x=0", "--consistency", "68.5", "--gap-error", "1")
	require.NoError(t, err)
	require.Equal(t, map[string]int{"C1": 12, "Tue, 6 pm = x": 0}, set.PlannedPours)
	require.Equal(t, 68.5, set.MixConsistency)
	require.Equal(t, 1.0, set.ReadingErrorMM)
}

func TestWrongPlasterOptionsSayWhatToWrite(t *testing.T) {
	for _, c := range []struct {
		says string
		args []string
	}{
		{"such as C1=12", []string{"--pours", "12"}},
		{"such as C1=12", []string{"--pours", "=12"}},
		{"whole number", []string{"--pours", "C1=a dozen"}},
		{"whole number", []string{"--pours", "C1=-3"}},
		{"whole number", []string{"--pours", "C1=10001"}},
		{"twice", []string{"--pours", "C1=3", "--pours", "c1 =4"}},
		{"plan of each class", []string{"--pours", "All=40"}},
		{"if that is plaster to water, write 70", []string{"--consistency", "1.43"}},
		{"if that is water to plaster, write 70", []string{"--consistency", "0.7"}},
		{"from 30 to 200", []string{"--consistency", "NaN"}},
		{"from 30 to 200", []string{"--consistency", "-70"}},
		{"in mm", []string{"--gap-error", "-1"}},
		{"in mm", []string{"--gap-error", "Inf"}},
	} {
		_, err := plasterSettings(t, c.args...)
		require.ErrorContains(t, err, c.says, "%v", c.args)
		code, _, _ := moldwright(t, append([]string{"report", "-o", "nowhere", "."}, c.args...)...)
		require.Equal(t, exitUsage, code, "%v", c.args)
	}
}
