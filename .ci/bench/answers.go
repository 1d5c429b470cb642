package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// answers are the figures that all programs give, by name.
type answers map[string]float64

// plainAnswers reads answers.csv.
func plainAnswers(out string) (answers, error) {
	rows, err := table(filepath.Join(out, "answers.csv"))
	if err != nil {
		return nil, err
	}
	a := answers{}
	for _, r := range rows {
		if a[r["name"]], err = strconv.ParseFloat(r["value"], 64); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// reportAnswers takes the same figures from the tables of a report: the power
// law with its exponent free, lives by likelihood without a prior, and what was
// weighed as waste.
func reportAnswers(out string) (answers, error) {
	a := answers{}
	number := func(name, text string) {
		if x, err := strconv.ParseFloat(text, 64); err == nil {
			a[name] = x
		}
	}
	terms, err := table(filepath.Join(out, "tables", "wall_fit.csv"))
	if err != nil {
		return nil, err
	}
	for _, r := range terms {
		if !strings.HasPrefix(r["model"], "power law, exponent free") {
			continue
		}
		if r["term"] == "exponent of dwell" {
			number("exponent", r["estimate"])
		}
		if kind, ok := strings.CutPrefix(r["term"], "age, "); ok {
			number("wear "+kind, strings.TrimPrefix(r["estimate"], "-"))
		}
	}
	lives, err := table(filepath.Join(out, "tables", "life_fit.csv"))
	if err != nil {
		return nil, err
	}
	for _, r := range lives {
		number("shape "+r["kind"], r["data_shape"])
		number("scale "+r["kind"], r["data_scale"])
	}
	pours, err := table(filepath.Join(out, "tables", "pour_waste.csv"))
	if err != nil {
		return nil, err
	}
	for _, r := range pours {
		for _, c := range []string{"leftover_kg", "spilled_kg", "trimmed_kg", "failed_kg"} {
			if x, err := strconv.ParseFloat(r[c], 64); err == nil {
				a["waste_kg"] += x
			}
		}
	}
	return a, nil
}

// truthOf reads the law that a log was drawn by, beside its folder: what of it
// has an answer's name. A life is logged in whole casts, rounded down, so that a
// fitted scale is about half a cast below its law's.
func truthOf(log string) answers {
	var truth struct {
		Exponent float64 `json:"exponent"`
		Lives    map[string]struct {
			Shape float64 `json:"shape"`
			Scale float64 `json:"scale"`
		} `json:"lives"`
	}
	a := answers{}
	data, err := os.ReadFile(log + "-truth.json")
	if err != nil || json.Unmarshal(data, &truth) != nil {
		return a
	}
	if truth.Exponent > 0 { // another law has none
		a["exponent"] = truth.Exponent
	}
	for kind, l := range truth.Lives {
		a["shape "+kind], a["scale "+kind] = l.Shape, l.Scale
	}
	return a
}

func table(path string) ([]map[string]string, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) == 0 {
		return nil, fmt.Errorf("%s cannot be read: %w", filepath.Base(path), err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for j, name := range rows[0] {
			m[name] = row[j]
		}
		out = append(out, m)
	}
	return out, nil
}

// stage is one of a report's stages and its seconds.
type stage struct {
	Stage   string  `json:"stage"`
	Seconds float64 `json:"seconds"`
}

// stagesOf reads run.json of a report; one without it has no stages.
func stagesOf(out string) []stage {
	var record struct {
		Stages []stage `json:"stages"`
	}
	data, err := os.ReadFile(filepath.Join(out, "run.json"))
	if err != nil || json.Unmarshal(data, &record) != nil {
		return nil
	}
	return record.Stages
}

// allowed is how far two programs may be apart in an answer, as a share of it.
// Lives and waste are the same formula on the same rows. Walls are the same law
// with other ways to set typing errors aside, and ours has the wetness of the
// mold beside it, so they differ by a part of their standard error, which falls
// as the root of the casts.
func allowed(name string, casts int) float64 {
	switch {
	case strings.HasPrefix(name, "exponent"):
		return max(0.002, 0.5/math.Sqrt(float64(casts)))
	case strings.HasPrefix(name, "wear"):
		return max(0.005, 3/math.Sqrt(float64(casts)))
	}
	return 1e-4
}

// difference of one answer over all programs that gave it.
type difference struct {
	name   string
	values map[string]float64 // by program
	share  float64            // largest distance from ours, of ours
	most   float64
}

// compare holds the answers of all programs against those of ours.
func compare(all map[string]answers, casts int) []difference {
	ours := all["report"]
	if ours == nil {
		ours = all["answers"]
	}
	var names []string
	for name := range ours {
		names = append(names, name)
	}
	slices.Sort(names)
	var out []difference
	for _, name := range names {
		d := difference{name: name, values: map[string]float64{}, most: allowed(name, casts)}
		for key, a := range all {
			if x, ok := a[name]; ok {
				d.values[key] = x
				d.share = max(d.share, math.Abs(x-ours[name])/math.Abs(ours[name]))
			}
		}
		out = append(out, d)
	}
	return out
}
