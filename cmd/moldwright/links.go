package main

import (
	"path/filepath"

	"moldwright/pipeline/ingest"
)

// linksFrom gives the way from the report's folder to each input, so that the
// report can lead to a cell. Inputs to which there is no way, such as those on
// another volume, are left out.
func linksFrom(out string, reading ingest.Reading) map[string]string {
	links := map[string]string{}
	from, err := filepath.Abs(out)
	if err != nil {
		return links
	}
	for _, f := range reading.Files {
		to, err := filepath.Abs(f.Path)
		if err != nil {
			continue
		}
		if way, err := filepath.Rel(from, to); err == nil {
			links[f.Name] = filepath.ToSlash(way)
		}
	}
	return links
}
