package charts

import (
	"fmt"
	"slices"

	"moldwright/pipeline"
	"moldwright/reports/internal/cores"
)

// Drawing is the charts of a report while they are drawn, on all cores, so that what
// needs a few of them need not wait for all.
type Drawing struct {
	laid     []figure
	charts   []Chart
	errs     []error
	ready    []chan struct{} // closed when the chart is there
	done     chan struct{}   // closed when nothing is drawn any more
	panicked any
}

// Begin begins to draw what Draw draws.
func Begin(res pipeline.Result) (*Drawing, error) { return begun(res, figures) }

// BeginPlan begins to draw what DrawPlan draws.
func BeginPlan(res pipeline.Result) (*Drawing, error) { return begun(res, planFigures) }

// BeginPictures begins to draw the charts with these names alone, in the order of the
// report and as PNG alone. One without data is left out.
func BeginPictures(res pipeline.Result, names ...string) (*Drawing, error) {
	return begunIn(res, func(s style, res pipeline.Result) []figure {
		return slices.DeleteFunc(figures(s, res), func(f figure) bool { return !slices.Contains(names, f.name) })
	}, figure.picture)
}

func begun(res pipeline.Result, figures func(style, pipeline.Result) []figure) (*Drawing, error) {
	return begunIn(res, figures, figure.render)
}

// begunIn draws by render, which is given the pixels an inch.
func begunIn(res pipeline.Result, figures func(style, pipeline.Result) []figure, render func(figure, style, int) (Chart, error)) (*Drawing, error) {
	s, err := newStyle()
	if err != nil {
		return nil, fmt.Errorf("drawing charts: %w", err)
	}
	laid := figures(s, res)
	d := &Drawing{
		laid: laid, charts: make([]Chart, len(laid)), errs: make([]error, len(laid)),
		ready: make([]chan struct{}, len(laid)), done: make(chan struct{}),
	}
	for i := range d.ready {
		d.ready[i] = make(chan struct{})
	}
	go func() {
		defer close(d.done)
		defer func() { d.panicked = recover() }()
		cores.Each(len(laid), func(i int) {
			defer close(d.ready[i])
			d.charts[i], d.errs[i] = render(laid[i], s, pngDPI)
		})
	}()
	return d, nil
}

// Wait waits until nothing is drawn any more.
func (d *Drawing) Wait() { <-d.done }

// All waits for all charts and gives them in the order of the report.
func (d *Drawing) All() ([]Chart, error) {
	d.Wait()
	if d.panicked != nil {
		panic(d.panicked)
	}
	for _, err := range d.errs {
		if err != nil {
			return nil, fmt.Errorf("drawing charts: %w", err)
		}
	}
	return d.charts, nil
}

// Of waits for the charts that are wanted, by name and section, and gives them in the
// order of the report. Those that could not be drawn are left out: All says why.
func (d *Drawing) Of(wanted func(name, section string) bool) []Chart {
	var out []Chart
	for i, f := range d.laid {
		if !wanted(f.name, f.section) {
			continue
		}
		select {
		case <-d.ready[i]:
		case <-d.done:
		}
		if c := d.charts[i]; c.Name != "" {
			out = append(out, c)
		}
	}
	return out
}

// Drawn are charts that are there.
type Drawn []Chart

// Of are the charts that are wanted, by name and section.
func (d Drawn) Of(wanted func(name, section string) bool) []Chart {
	var out []Chart
	for _, c := range d {
		if wanted(c.Name, c.Section) {
			out = append(out, c)
		}
	}
	return out
}
