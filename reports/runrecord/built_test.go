package runrecord

import (
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestABuildTellsWhatItWasBuiltFrom(t *testing.T) {
	info := &debug.BuildInfo{
		GoVersion: "go1.99.1", Main: debug.Module{Path: "moldwright", Version: "v1.2.3"},
		Deps:     []*debug.Module{{Path: "gonum.org/v1/gonum", Version: "v0.17.0"}, {Path: "github.com/apache/arrow/go/v17", Version: "v17.0.0"}},
		Settings: []debug.BuildSetting{{Key: "vcs.revision", Value: "abc123"}, {Key: "vcs.modified", Value: "false"}},
	}
	require.Equal(t, Versions{Moldwright: "v1.2.3", Commit: "abc123", Go: "go1.99.1", Arrow: "v17.0.0", Gonum: "v0.17.0", Excelize: "unknown"}, versionsOf(info))
	info.Settings[1].Value = "true"
	require.Equal(t, "abc123+changes", versionsOf(info).Commit)
	info.Main.Version = "(devel)"
	require.Equal(t, "unreleased", versionsOf(info).Moldwright)
	require.Equal(t, "unreleased", versionsOf(nil).Moldwright)
	require.NotEmpty(t, versionsOf(nil).Go)
}
