package paper

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/drawing"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/circuits"
	"plumbrule/internal/wording"
)

// fullBar is the utilisation at the right end of a bar.
const fullBar = 1.5

// bar draws a utilisation: a bar and the line of the limit. Not met is filled,
// met is open; past the end the bar is cut with a notch.
func bar(u float64, met bool) template.HTML {
	class := "over"
	if met {
		class = "met"
	}
	length := 100 * math.Min(u, fullBar) / fullBar
	shape := fmt.Sprintf(`<rect class="bar %s" x="0.5" y="1.5" width="%s" height="7"/>`, class, drawing.SvgNumber(math.Max(length-1, 0.5)))
	if u > fullBar {
		shape += `<path class="notch" d="M92 0L88 10M96 0L92 10"/>`
	}
	limit := drawing.SvgNumber(100 / fullBar)
	return template.HTML(`<svg class="util" viewBox="0 0 100 10" aria-hidden="true" focusable="false">` + shape +
		`<path class="limit" d="M` + limit + ` 0V10"/></svg>`)
}

// The frame of a plot, in units of its own picture.
const (
	plotWidth  = 340.0
	plotHeight = 210.0
	plotLeft   = 46.0
	plotRight  = 12.0
	plotTop    = 14.0
	plotBottom = 36.0
)

// axis carries values to the picture.
type axis struct{ from, to, start, end float64 }

func (a axis) at(v float64) float64 {
	return a.start + (v-a.from)/(a.to-a.from)*(a.end-a.start)
}

// ticks are round values on an axis, six or seven at most.
func (a axis) ticks() []float64 {
	span := a.to - a.from
	step := math.Pow(10, math.Floor(math.Log10(span/4)))
	for _, f := range []float64{1, 2, 5, 10} {
		if span/(step*f) <= 6 {
			step *= f
			break
		}
	}
	var out []float64
	for k := math.Ceil(a.from/step - 1e-9); k*step <= a.to+1e-9*span; k++ {
		out = append(out, k*step)
	}
	return out
}

// plot is one picture in the making.
type plot struct {
	strings.Builder
	x, y  axis
	width float64 // of the whole picture
}

func newPlot(x0, x1, y0, y1 float64) *plot {
	return &plot{
		x: axis{x0, x1, plotLeft, plotWidth - plotRight},
		y: axis{y0, y1, plotHeight - plotBottom, plotTop},

		width: plotWidth,
	}
}

func (p *plot) text(x, y float64, anchor, class, s string) {
	fmt.Fprintf(p, `<text x="%s" y="%s" text-anchor="%s" class="%s">%s</text>`, drawing.SvgNumber(x), drawing.SvgNumber(y), anchor, class, wording.XML(s))
}

func (p *plot) segment(x0, y0, x1, y1 float64, class string) {
	fmt.Fprintf(p, `<path class="%s" d="M%s %sL%s %s"/>`, class, drawing.SvgNumber(x0), drawing.SvgNumber(y0), drawing.SvgNumber(x1), drawing.SvgNumber(y1))
}

// frame draws the axes with their ticks and titles.
func (p *plot) frame(xTitle, yTitle string, xTicks, yTicks []float64, xPrint func(float64) string) {
	for _, v := range yTicks {
		y := p.y.at(v)
		p.segment(p.x.start, y, p.x.end, y, "grid")
		p.text(p.x.start-5, y+3.5, "end", "tick", drawing.SvgNumber(v))
	}
	for _, v := range xTicks {
		x := p.x.at(v)
		p.segment(x, p.y.start, x, p.y.start+4, "axis")
		p.text(x, p.y.start+15, "middle", "tick", xPrint(v))
	}
	p.segment(p.x.start, p.y.start, p.x.end, p.y.start, "axis")
	p.segment(p.x.start, p.y.start, p.x.start, p.y.end, "axis")
	p.text((p.x.start+p.x.end)/2, plotHeight-5, "middle", "name", xTitle)
	p.text(p.x.start-40, 9, "start", "name", yTitle)
}

// svg closes the picture; says is what it shows, in words.
func (p *plot) svg(says string) template.HTML {
	return template.HTML(fmt.Sprintf(`<svg class="plot" viewBox="0 0 %s %s" role="img" aria-label="%s">%s</svg>`,
		drawing.SvgNumber(p.width), drawing.SvgNumber(plotHeight), wording.XML(says), p.String()))
}

// leastForHistogram is from how many subjects on a picture says more than the
// table beside it.
const leastForHistogram = 8

// histogram shows how the utilisation of many like subjects is spread, in
// steps of a tenth; "" where there are few.
func histogram(list []*review.Outcome, say *wording.Language) template.HTML {
	var values []float64
	for _, o := range list {
		if o.Utilisation != nil {
			values = append(values, *o.Utilisation)
		}
	}
	if len(values) < leastForHistogram {
		return ""
	}
	const step, last = 0.1, 20 // what is over two stands in the last
	most := min(max(int(math.Ceil(slices.Max(values)/step)), 11), last)
	bins := make([]int, most)
	over := 0
	for _, u := range values {
		i := int(math.Ceil(u/step*(1-1e-9))) - 1 // a bin holds its upper end: 1.0 is met
		bins[min(max(i, 0), most-1)]++
		if !quantity.AtMost(u, 1) {
			over++
		}
	}
	p := newPlot(0, float64(most)*step, 0, float64(slices.Max(bins)))
	p.frame(say.Say("utilisation"), "subjects", p.x.ticks(), wholeTicks(p.y), drawing.SvgNumber)
	for i, n := range bins {
		if n == 0 {
			continue
		}
		class := "met"
		if i >= 10 {
			class = "over"
		}
		x0, x1, y := p.x.at(float64(i)*step), p.x.at(float64(i+1)*step), p.y.at(float64(n))
		fmt.Fprintf(p, `<rect class="bar %s" x="%s" y="%s" width="%s" height="%s"/>`, class, drawing.SvgNumber(x0+0.75), drawing.SvgNumber(y), drawing.SvgNumber(x1-x0-1.5), drawing.SvgNumber(p.y.start-y))
	}
	p.segment(p.x.at(1), p.y.start, p.x.at(1), p.y.end, "limit")
	return p.svg(fmt.Sprintf("Utilisation of %d subjects in steps of 0.1: %d up to the limit, %d over it, the largest %s.", len(values), len(values)-over, over, wording.Ratio(slices.Max(values))))
}

// wholeTicks are the ticks of an axis that counts.
func wholeTicks(a axis) []float64 {
	return slices.DeleteFunc(a.ticks(), func(v float64) bool { return v != math.Trunc(v) })
}

// curve is the open-circuit voltage of modules in series against temperature.
type curve struct {
	Title, Says string
	Limits      []field
	Plot        template.HTML
}

// ceiling is a limit line of a curve.
type ceiling struct {
	name  string
	volts float64
}

// window is what an inverter input takes: the range in which it tracks the
// power of the modules and the voltage from which it starts; 0 where not stated.
type window struct{ start, low, high float64 }

// stringCurves draws the voltage of each different string, and of a module on
// its microinverter, where the module's coefficient is known.
func stringCurves(r *review.Review) []curve {
	var out []curve
	where := map[string]int{}
	add := func(label string, v *circuits.Curve, op *circuits.Operating, ceilings []ceiling, w window) {
		if v == nil {
			return
		}
		c := drawCurve(v, op, ceilings, w, r.System)
		if i, drawn := where[string(c.Plot)]; drawn {
			out[i].Title += ", " + label
			return
		}
		where[string(c.Plot)] = len(out)
		c.Title = label
		out = append(out, c)
	}
	for i := range r.Job.Strings {
		given := &r.Job.Strings[i]
		s := terms.KindFor[job.String]().Of(r.Model, given)
		var ceilings []ceiling
		for _, l := range []struct{ name, term string }{{"code", "code_voltage_limit"}, {"module", "module_voltage_limit"}} {
			ceilings = appendTerm(ceilings, r.Model, s, l.name, l.term)
		}
		var w window
		if inverter, ok := r.Job.InverterOf(given); ok {
			ceilings = append(ceilings, inputCeiling(r.Job, inverter)...)
			w = inputWindow(r.Job, inverter)
		}
		add(s.Label(), circuits.StringCurve(r.Model, given), circuits.StringOperating(r.Model, given), ceilings, w)
	}
	for i := range r.Job.Inverters {
		given := &r.Job.Inverters[i]
		add("module on "+terms.KindFor[job.Inverter]().Of(r.Model, given).Label(), circuits.MicroCurve(r.Model, given), nil, inputCeiling(r.Job, given), inputWindow(r.Job, given))
	}
	return out
}

func inputWindow(j *job.Job, i *job.Inverter) window {
	t, ok := j.InverterTypeOf(i)
	if !ok {
		return window{}
	}
	return window{t.StartVoltage.Value.SI, t.TrackLow.Value.SI, t.TrackHigh.Value.SI}
}

func appendTerm(list []ceiling, m *terms.Model, s *terms.Subject, name, term string) []ceiling {
	if v, ok := m.Term(s, term).V.(float64); ok {
		return append(list, ceiling{name, v})
	}
	return list
}

func inputCeiling(j *job.Job, i *job.Inverter) []ceiling {
	t, ok := j.InverterTypeOf(i)
	if !ok || !t.MaximumInputVoltage.Known {
		return nil
	}
	return []ceiling{{"inverter input", t.MaximumInputVoltage.Value.SI}}
}

// merged puts the limits in order, highest first, and equal ones together.
func merged(list []ceiling) []ceiling {
	slices.SortStableFunc(list, func(a, b ceiling) int { return cmp.Compare(b.volts, a.volts) })
	var out []ceiling
	for _, c := range list {
		if n := len(out); n > 0 && out[n-1].volts == c.volts {
			out[n-1].name += ", " + c.name
			continue
		}
		out = append(out, c)
	}
	return out
}

// warmest is the right end of the temperatures of a curve, degC, where the hot
// end of the modules is not known.
const warmest = 70.0

// temperature is how an axis of temperatures prints: its unit and what stands on
// it for degrees C.
func temperature(sys quantity.System) (unit string, shown, celsius func(float64) float64) {
	if sys == quantity.SI {
		same := func(v float64) float64 { return v }
		return "°C", same, same
	}
	return "°F", func(c float64) float64 { return c*9/5 + 32 }, func(f float64) float64 { return (f - 32) * 5 / 9 }
}

// degrees prints a temperature with its sign, to a tenth.
func degrees(celsius float64, sys quantity.System) string {
	unit, shown, _ := temperature(sys)
	return strconv.FormatFloat(math.Round(shown(celsius)*10)/10, 'f', -1, 64) + " " + unit
}

func drawCurve(v *circuits.Curve, op *circuits.Operating, ceilings []ceiling, w window, sys quantity.System) curve {
	low, warm := v.ColdAt, warmest
	if op != nil {
		warm = math.Max(warm, math.Ceil((op.HotAt+5)/10)*10)
	}
	cold := math.Floor((low-5)/10) * 10
	top, bottom := v.At(cold), v.At(warm)
	for _, c := range ceilings {
		top = math.Max(top, c.volts)
	}
	if op != nil {
		bottom = math.Min(bottom, op.At(warm))
	}
	for _, x := range []float64{w.start, w.low} {
		if x > 0 {
			bottom = math.Min(bottom, x)
		}
	}
	unit, shown, celsius := temperature(sys)
	p := newPlot(cold, warm, math.Max(0, 0.85*bottom), bottom+(top-bottom)*1.12)
	p.width += namesWidth
	var ticks []float64
	for _, t := range (axis{from: shown(cold), to: shown(warm)}).ticks() {
		ticks = append(ticks, celsius(t))
	}
	volts := func(v float64) string { return quantity.Of(v, quantity.Voltage).Format(sys) }
	out := curve{Limits: []field{{"at the record low of " + degrees(low, sys), volts(v.Cold)}}}
	if w.low > 0 && w.high > w.low {
		y0, y1 := p.y.at(math.Min(w.high, p.y.to)), p.y.at(w.low)
		fmt.Fprintf(p, `<rect class="window" x="%s" y="%s" width="%s" height="%s"/>`, drawing.SvgNumber(p.x.start), drawing.SvgNumber(y0), drawing.SvgNumber(p.x.end-p.x.start), drawing.SvgNumber(y1-y0))
	}
	p.frame("cell temperature, "+unit, "V", ticks, p.y.ticks(), func(v float64) string { return drawing.SvgNumber(math.Round(shown(v)*100) / 100) })
	p.segment(p.x.at(low), p.y.start, p.x.at(low), p.y.end, "guide")
	p.segment(p.x.at(cold), p.y.at(v.At(cold)), p.x.at(warm), p.y.at(v.At(warm)), "curve")
	p.dot(low, v.Cold)
	end := warm
	if op != nil {
		end = op.HotAt
		p.segment(p.x.at(end), p.y.start, p.x.at(end), p.y.end, "guide")
		p.segment(p.x.at(low), p.y.at(op.At(low)), p.x.at(end), p.y.at(op.Hot), "curve operating")
		p.dot(end, op.Hot)
		out.Limits = append(out.Limits, field{"operating, cells at " + degrees(end, sys) + " on a hot day", volts(op.Hot)}, field{"operating at the record low", volts(op.At(low))})
	}
	var names []beside
	for _, c := range merged(ceilings) {
		y := p.y.at(c.volts)
		p.segment(p.x.start, y, p.x.end, y, "limit")
		names = append(names, beside{y, c.name + " " + volts(c.volts)})
		out.Limits = append(out.Limits, field{c.name + " limit", volts(c.volts)})
	}
	for _, l := range []struct {
		name  string
		volts float64
	}{{"tracks power up to", w.high}, {"tracks power from", w.low}, {"starts at", w.start}} {
		if l.volts <= 0 {
			continue
		}
		if y := p.y.at(l.volts); l.volts == w.start {
			p.segment(p.x.start, y, p.x.end, y, "guide")
		}
		if l.volts <= p.y.to {
			names = append(names, beside{p.y.at(l.volts), strings.Replace(strings.Replace(l.name, "power ", "", 1), "up to", "to", 1) + " " + volts(l.volts)})
		}
		out.Limits = append(out.Limits, field{"inverter " + l.name, volts(l.volts)})
	}
	p.beside(append(names, beside{p.y.at(v.At(warm)), "Voc"}), op)
	words := wording.Each(out.Limits, func(f field) string { return f.Label + " " + f.Text })
	out.Says = "Open-circuit and operating voltage fall as the cells grow warmer: " + strings.Join(words, ", ") + "."
	if op == nil {
		out.Says = "Open-circuit voltage falls in a line as the cells grow warmer: " + strings.Join(words, ", ") + "."
	}
	out.Plot = p.svg(out.Says)
	return out
}

func (p *plot) dot(x, y float64) {
	fmt.Fprintf(p, `<circle class="dot" cx="%s" cy="%s" r="3.5"/>`, drawing.SvgNumber(p.x.at(x)), drawing.SvgNumber(p.y.at(y)))
}

// beside is a name at the right of a plot, at the height of its line.
type beside struct {
	y    float64
	text string
}

// namesWidth is the room at the right of a plot for names.
const namesWidth = 140.0

// beside writes names at the right of a plot, pushed apart where they are close;
// nothing that is drawn passes there.
func (p *plot) beside(list []beside, op *circuits.Operating) {
	if op != nil {
		list = append(list, beside{p.y.at(op.Hot), "operating"})
	}
	slices.SortStableFunc(list, func(a, b beside) int { return cmp.Compare(a.y, b.y) })
	last := math.Inf(-1)
	for _, n := range list {
		y := math.Max(n.y+3.5, last+11)
		last = y
		p.text(p.x.end+5, y, "start", "tick", n.text)
	}
}
