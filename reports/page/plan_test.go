package page

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
	"moldwright/pipeline/tables"
	"moldwright/reports/charts"
	"moldwright/reports/internal/planned"
)

func planResult(t *testing.T) (pipeline.Result, []charts.Chart) {
	t.Helper()
	res := pipeline.Result{Settings: pipeline.Defaults(), Cautions: pipelineCautions, Plan: planned.Answer()}
	res.Log.AsOf = planned.AsOf()
	res.Advice = advice.Items(advice.Input{Log: res.Log, Plan: res.Plan, Goal: res.Settings.Plan.Goal})
	pics, err := charts.DrawPlan(res)
	require.NoError(t, err)
	return res, pics
}

func TestThePageOfAPlanSaysWhatToDo(t *testing.T) {
	res, pics := planResult(t)
	var one, two bytes.Buffer
	require.NoError(t, WritePlan(&one, res, pics))
	require.NoError(t, WritePlan(&two, res, pics))
	require.Equal(t, one.String(), two.String())
	doc, err := html.Parse(bytes.NewReader(one.Bytes()))
	require.NoError(t, err)
	read := text(doc)
	for _, want := range []string{
		"Run plan", "2026-03-13", "Pour 3 new molds by 2026-03-19", "Ask for 2026-04-15 or later", "check its spelling",
		"Missing", "Slip that is enough in nine runs of ten", "Two more molds", "Mon 2026-03-16", "as usual", "4.21 kg", "Working days: Monday to Friday [the log].",
		"sheet “Run plan” of plan.xlsx", "first 10 days of casting",
	} {
		require.Contains(t, read, want)
	}
	require.NotContains(t, read, "NaN")
	require.NotContains(t, read, "report.xlsx")
	require.Len(t, elements(doc, "svg"), 2)
	require.Len(t, elements(doc, "h1"), 1)
}

func TestTheReportHasThePlanToo(t *testing.T) {
	res, pics := planResult(t)
	written, doc := render(t, res, pics...)
	require.Contains(t, written, `id="plan"`)
	require.Contains(t, text(doc), "Will the orders come in time?")
	require.NotContains(t, written, `id="charts"`, "no chart is left over")

	res.Plan.Orders, res.Plan.WhyNot = nil, "there is no order: fill in the orders sheet"
	_, doc = render(t, res)
	require.Contains(t, text(doc), "There is no order: fill in the orders sheet.")
}

func TestManyOrdersStandBelowEachOther(t *testing.T) {
	res, _ := planResult(t)
	one := res.Plan.WhatIf
	for i := range 3 {
		for _, w := range one {
			w.Order += 10 * tables.Count(i+1)
			res.Plan.WhatIf = append(res.Plan.WhatIf, w)
		}
	}
	table := whatIfTable(res)
	require.Equal(t, "Order", table.Head[0].Text)
	require.Len(t, table.Rows, 16)
	require.Len(t, table.Rows[0].Cells, 6)
}
