package runrecord

import (
	"cmp"
	"runtime"
	"runtime/debug"
)

// Versions of what made the report.
type Versions struct {
	Moldwright string `json:"moldwright"`
	Commit     string `json:"commit"` // of the source, with +changes where it had been changed; "" where the build does not tell
	Go         string `json:"go"`
	Arrow      string `json:"arrow"`
	Gonum      string `json:"gonum"`
	Excelize   string `json:"excelize"`
}

// Built is what the running program was built from, as its builder recorded it.
func Built() Versions {
	info, _ := debug.ReadBuildInfo()
	return versionsOf(info)
}

// versionsOf reads a build's record; nil is that of a build without one.
func versionsOf(info *debug.BuildInfo) Versions {
	v := Versions{Moldwright: "unreleased", Go: runtime.Version(), Arrow: "unknown", Gonum: "unknown", Excelize: "unknown"}
	if info == nil {
		return v
	}
	v.Go = cmp.Or(info.GoVersion, v.Go)
	if info.Main.Version != "" && info.Main.Version != "(devel)" {
		v.Moldwright = info.Main.Version
	}
	for _, d := range info.Deps {
		switch d.Path {
		case "github.com/apache/arrow/go/v17":
			v.Arrow = d.Version
		case "gonum.org/v1/gonum":
			v.Gonum = d.Version
		case "github.com/xuri/excelize/v2":
			v.Excelize = d.Version
		}
	}
	set := map[string]string{}
	for _, s := range info.Settings {
		set[s.Key] = s.Value
	}
	v.Commit = set["vcs.revision"]
	if v.Commit != "" && set["vcs.modified"] == "true" {
		v.Commit += "+changes"
	}
	return v
}
