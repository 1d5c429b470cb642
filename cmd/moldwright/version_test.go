package main

import (
	"encoding/json"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/reports/runrecord"
)

func TestVersionInWordsAndAsJSON(t *testing.T) {
	code, out, errOut := moldwright(t, "version")
	require.Equal(t, exitDone, code, errOut)
	require.Contains(t, out, "for "+runtime.GOOS+"/"+runtime.GOARCH)
	require.Contains(t, out, "\ncommit ")
	_, same, _ := moldwright(t, "--version")
	require.Equal(t, out, same)

	code, out, _ = moldwright(t, "version", "--json")
	require.Equal(t, exitDone, code)
	var v runrecord.Versions
	require.NoError(t, json.Unmarshal([]byte(out), &v))
	require.Equal(t, runrecord.Built(), v)
	require.NotEqual(t, "unknown", v.Excelize, "a test's build records its libraries, too")

	code, _, errOut = moldwright(t, "version", "please")
	require.Equal(t, exitUsage, code)
	require.Contains(t, errOut, "takes no arguments")
}
