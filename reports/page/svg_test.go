package page

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/reports/charts"
)

func TestInlineKeepsDrawingAndDropsTheRest(t *testing.T) {
	c := charts.Chart{Name: "a", Title: "T <b>", Alt: "A & B", SVG: []byte(`<?xml version="1.0"?><!DOCTYPE svg><!-- made by x -->
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="10pt" height="5pt" viewBox="0 0 10 5" onload="alert(1)">
<script>alert(1)</script><style>@import "http://x.invalid";</style><a href="http://x.invalid"><text>gone</text></a><foreignObject><p>gone</p></foreignObject>
<defs><clipPath id="c"><rect width="1" height="1"/></clipPath></defs>
<g clip-path="url(#c)" style="fill:url(http://x.invalid/p)"><use xlink:href="#c"/><image xlink:href="http://x.invalid/i.png"/><image xlink:href="data:image/png;base64,AA=="/>
<text x="1" y="2">5 &lt; 6 &amp; M-1</text></g></svg>`)}
	got, err := inline(c, "chart-1")
	require.NoError(t, err)
	require.Equal(t, `<svg role="img" aria-labelledby="chart-1-title chart-1-desc" viewBox="0 0 10 5"><title id="chart-1-title">T &lt;b&gt;</title><desc id="chart-1-desc">A &amp; B</desc>

<defs><clipPath id="chart-1-c"><rect width="1" height="1"></rect></clipPath></defs>
<g clip-path="url(#chart-1-c)"><use href="#chart-1-c"></use><image></image><image href="data:image/png;base64,AA=="></image>
<text x="1" y="2">5 &lt; 6 &amp; M-1</text></g></svg>`, string(got))
}

func TestSizeIsKeptWhereThereIsNoViewBox(t *testing.T) {
	got, err := inline(charts.Chart{Title: "t", SVG: []byte(`<svg width="10" height="5"></svg>`)}, "c")
	require.NoError(t, err)
	require.Contains(t, string(got), `width="10" height="5"`)
	require.Contains(t, string(got), `<desc id="c-desc">t</desc>`, "a chart without a text alternative is named by its title")
}
