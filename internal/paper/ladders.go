package paper

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"plumbrule/internal/drawing"
	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/circuits"
	"plumbrule/internal/wording"
)

// share is one part of what a busbar has to carry.
type share struct {
	name string
	amps float64
}

// sharesOf parts the current that a busbar has to carry by the option relied on;
// together they are what is held against the busbar.
func sharesOf(b *electrical.Busbar) []share {
	in := b.Input
	option := in.Option
	if t := in.FeedThrough; t != nil && t.Overcurrent > 0 && t.Option != "" {
		option = t.Option
	}
	var out []share
	each := func(name string, by float64, list []float64) {
		for _, a := range list {
			out = append(out, share{name, a * by})
		}
	}
	switch option {
	case electrical.OptionBreakerSum:
		each("source device", 1, in.SourceBreakers)
		each("load device", 1, in.LoadBreakers)
	case electrical.OptionPowerControl:
		out = []share{{"limit of the power control system", in.Limit}}
	default:
		out = []share{{"main", in.Main}}
		name := "source output"
		if b.Factor != 1 {
			name += " x " + wording.Ratio(b.Factor)
		}
		each(name, b.Factor, in.Sources)
	}
	return out
}

// The frame of a ladder.
const (
	ladderWidth  = 460.0
	ladderLeft   = 8.0
	ladderRight  = 46.0
	ladderHeight = 84.0
)

// ladderFrame is a plot with one axis, along the foot.
func ladderFrame(most, left, height float64) *plot {
	return &plot{x: axis{0, most, left, ladderWidth - ladderRight}, y: axis{0, 1, height - plotBottom, 10}}
}

func (p *plot) ladderAxis(title string) {
	for _, v := range p.x.ticks() {
		x := p.x.at(v)
		p.segment(x, p.y.start, x, p.y.start+4, "axis")
		p.text(x, p.y.start+15, "middle", "tick", drawing.SvgNumber(v))
	}
	p.segment(p.x.start, p.y.start, p.x.end, p.y.start, "axis")
	p.text((p.x.start+p.x.end)/2, p.y.start+29, "middle", "name", title)
}

func (p *plot) ladderSVG(height float64, says string) template.HTML {
	return template.HTML(fmt.Sprintf(`<svg class="plot" viewBox="0 0 %s %s" role="img" aria-label="%s">%s</svg>`,
		drawing.SvgNumber(ladderWidth), drawing.SvgNumber(height), wording.XML(says), p.String()))
}

// busbarLadders draws, for each busbar that the sources reach, what it has to
// carry by the option relied on against what it may carry.
func busbarLadders(r *review.Review) []curve {
	var out []curve
	for _, held := range circuits.BusbarsHeld(r.Model) {
		out = append(out, busbarLadder(&held, r.System))
	}
	return out
}

func busbarLadder(b *circuits.BusbarHeld, sys quantity.System) curve {
	amps := func(v float64) string { return quantity.Of(v, quantity.Current).Format(sys) }
	list := sharesOf(&b.Busbar)
	most := 1.12 * max(b.Required, b.Allowed, b.Input.Busbar)
	p := ladderFrame(most, ladderLeft, ladderHeight)
	at, top, height := 0.0, p.y.end+14, 18.0
	c := curve{Title: "busbar of " + b.Name + ", option " + b.Input.Option}
	for i, s := range list {
		class := "met"
		if s.name != "main" && !strings.HasPrefix(s.name, "load") {
			class = "source"
		}
		x0, x1 := p.x.at(at), p.x.at(at+s.amps)
		fmt.Fprintf(p, `<rect class="bar %s" x="%s" y="%s" width="%s" height="%s"/>`, class, drawing.SvgNumber(x0), drawing.SvgNumber(top), drawing.SvgNumber(x1-x0), drawing.SvgNumber(height))
		if text := amps(s.amps); x1-x0 > 6*float64(len(text))+4 {
			p.text((x0+x1)/2, top+13, "middle", "tick", text)
		}
		at += s.amps
		if i == 0 || list[i-1].name != s.name {
			c.Limits = append(c.Limits, field{s.name, amps(s.amps)})
		} else {
			c.Limits[len(c.Limits)-1].Text += " + " + amps(s.amps)
		}
	}
	allowed := p.x.at(b.Allowed)
	p.segment(allowed, p.y.start, allowed, top-8, "limit")
	p.text(allowed, top-11, "middle", "tick", "may carry "+amps(b.Allowed))
	p.ladderAxis("A")
	c.Limits = append(c.Limits, field{"has to carry", amps(b.Required)},
		field{"may carry, " + percentOf(b.Share) + " of its " + amps(b.Input.Busbar), amps(b.Allowed)})
	c.Says = "What the busbar of " + b.Name + " has to carry by the option " + b.Input.Option + ": " +
		strings.Join(wording.Each(c.Limits, func(f field) string { return f.Label + " " + f.Text }), ", ") + "."
	c.Plot = p.ladderSVG(ladderHeight, c.Says)
	return c
}

func percentOf(v float64) string { return drawing.SvgNumber(v*100) + " %" }

// rung is one value of a circuit on its ladder, each of which must not lie below
// the one before.
type rung struct{ name, term string }

var rungs = []rung{{"largest current", "maximum_current"}, {"needed", "least_overcurrent"}, {"device", ""}, {"largest device for its conductors", "largest_overcurrent"}}

// circuitLadder draws the currents of each circuit from its largest current over
// the device that it needs and has to the largest that its conductors may have;
// nil where no circuit has a device of which all is known.
func circuitLadder(r *review.Review) *curve {
	type row struct {
		names  []string
		values []float64
	}
	var rows []row
	most := 0.0
	for i := range r.Job.Circuits {
		x := &r.Job.Circuits[i]
		d, ok := r.Job.OvercurrentOf(x)
		if !ok || !d.Rating.Known {
			continue
		}
		s := terms.KindFor[job.Circuit]().Of(r.Model, x)
		var values []float64
		for _, g := range rungs {
			if g.term == "" {
				values = append(values, d.Rating.Value.SI)
			} else if v, ok := r.Model.Term(s, g.term).V.(float64); ok {
				values = append(values, v)
			}
		}
		if len(values) < len(rungs) {
			continue
		}
		most = max(most, slices.Max(values))
		if k := slices.IndexFunc(rows, func(o row) bool { return slices.Equal(o.values, values) }); k >= 0 {
			rows[k].names = append(rows[k].names, x.Name.Value)
			continue
		}
		rows = append(rows, row{[]string{x.Name.Value}, values})
	}
	if len(rows) == 0 {
		return nil
	}
	amps := func(v float64) string { return quantity.Of(v, quantity.Current).Format(r.System) }
	height := 36 + 34*float64(len(rows)) + plotBottom
	p := ladderFrame(1.06*most, ladderLeft, height-12)
	c := &curve{Title: "currents of the circuits that have a device"}
	for i, row := range rows {
		name := strings.Join(row.names, ", ")
		y := 22 + 34*float64(i)
		label := []rune(name)
		if len(label) > 70 {
			label = append(label[:67], '.', '.', '.')
		}
		p.text(p.x.start, y, "start", "tick", string(label))
		y += 12
		p.segment(p.x.at(0), y, p.x.at(slices.Max(row.values)), y, "guide")
		for k := len(row.values) - 1; k >= 0; k-- {
			p.rungMark(k, p.x.at(row.values[k]), y)
		}
		c.Limits = append(c.Limits, field{name, strings.Join(wording.Each(row.values, amps), ", ")})
	}
	p.ladderAxis("A: ring " + rungs[0].name + ", line " + rungs[1].name + ", square " + rungs[2].name)
	p.text((p.x.start+p.x.end)/2, p.y.start+41, "middle", "name", "triangle "+rungs[3].name)
	c.Says = "For each circuit the largest current, the device needed, the device, and the largest device for its conductors: " +
		strings.Join(wording.Each(c.Limits, func(f field) string { return f.Label + " " + f.Text }), "; ") + "."
	c.Plot = p.ladderSVG(height, c.Says)
	return c
}

// rungMark draws one value: told apart by shape, in grey too.
func (p *plot) rungMark(kind int, x, y float64) {
	n := drawing.SvgNumber
	switch kind {
	case 0:
		fmt.Fprintf(p, `<circle class="rung" cx="%s" cy="%s" r="4"/>`, n(x), n(y))
	case 1:
		p.segment(x, y-6, x, y+6, "limit")
	case 2:
		fmt.Fprintf(p, `<rect class="dot" x="%s" y="%s" width="7" height="7"/>`, n(x-3.5), n(y-3.5))
	default:
		fmt.Fprintf(p, `<path class="rung" d="M%s %sl5 9h-10z"/>`, n(x), n(y-5))
	}
}

// ladders are all pictures of currents.
func ladders(r *review.Review) []curve {
	out := busbarLadders(r)
	if c := circuitLadder(r); c != nil {
		out = append(out, *c)
	}
	return out
}
