package calculator

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
)

// structuralCalculators declares the desk calculators of wind, snow, seismic
// demand and of what holds an array down.
func structuralCalculators() []*Calculator {
	return []*Calculator{
		velocityPressure(), zoneWidth(), effectiveArea(), roofZone(), pressureCoefficient(), roofPressure(), equalization(), arrayEdge(), roofParallelScope(),
		flatRoofArray(), arrayPressure(), attachmentUplift(), attachmentSpacing(), continuousBeam(), loadPath(),
		lagWithdrawal(), screwWithdrawal(), lagLateral(), screwLateral(), lagCombined(), screwPullout(), screwPullover(), screwShear(), screwCombined(), screwBending(), testedCapacity(),
		roofSnow(), unbalancedSnow(), snowDrift(), slidingSnow(), snowThermal(), seismicForce(), ballastWeight(), ballastDisplacement(), deckThickness(), thermalMovement(), loadIncrease(),
		lumberStrength(), loadedMember(), rafterSpan(),
	}
}

// decides closes every structural result.
const decides = "a preflight aid: a licensed engineer of the jurisdiction decides"

// inputs that several calculators share

func asceEdition() Input { return choice("asce", "edition of ASCE/SEI 7", "7-10", "7-16", "7-22") }

// methodEdition is an edition with methods for arrays on roofs.
func methodEdition() Input { return choice("asce", "edition of ASCE/SEI 7", "7-16", "7-22") }

func ndsEdition() Input {
	return optional(choice("nds", "edition of the NDS", "2015", "2018", "2024"), "2018")
}

func roofShape() Input {
	return choice("roof", "shape of the roof", "flat", "gable", "hip", "monoslope")
}

// results

// in gives a value in a trade unit, to twelve significant digits: what the
// conversion adds behind them is no part of the result.
func in(unit string, si float64) float64 {
	scale, ok := quantity.ParseScale(unit)
	if !ok {
		return math.NaN() // which no result may be
	}
	return digits(scale.Written(si))
}

func digits(v float64) float64 {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	if err != nil {
		return v // NaN and infinities are refused where results are read
	}
	return rounded
}

// finish adds the worked lines and places, and gives an error of the
// engineering the form of a faulty input.
func finish(r *Result, err error, work []string, refs []table.Ref) (*Result, error) {
	if err != nil {
		return nil, fault(err)
	}
	r.Work = append(r.Work, work...)
	r.Work = append(r.Work, decides)
	r.cite(refs)
	return r, nil
}

func fault(err error) error {
	var missing *table.MissingError
	if errors.As(err, &missing) {
		return err
	}
	return Faultf("%v", err)
}

func (r *Result) cite(refs []table.Ref) {
	for _, ref := range refs {
		if s := ref.String(); !contains(r.Cite, s) {
			r.Cite = append(r.Cite, s)
		}
	}
}

// withASCE runs a calculator on the edition that was asked for.
func withASCE(run func(a *Args, w *structural.ASCE7) (*Result, error)) func(*Args, *table.Set) (*Result, error) {
	return func(a *Args, tables *table.Set) (*Result, error) {
		w, err := structural.NewASCE7(a.Text("asce"), tables)
		if err != nil {
			return nil, fault(err)
		}
		return run(a, w)
	}
}

func withNDS(run func(a *Args, n *structural.NDS) (*Result, error)) func(*Args, *table.Set) (*Result, error) {
	return func(a *Args, tables *table.Set) (*Result, error) {
		n, err := structural.NewNDS(a.Text("nds"), tables)
		if err != nil {
			return nil, fault(err)
		}
		return run(a, n)
	}
}

func withAISI(run func(a *Args, s *structural.AISI) (*Result, error)) func(*Args, *table.Set) (*Result, error) {
	return func(a *Args, tables *table.Set) (*Result, error) {
		s, err := structural.NewAISI("2016", tables)
		if err != nil {
			return nil, fault(err)
		}
		return run(a, s)
	}
}

// wind

func velocityPressure() *Calculator {
	return &Calculator{
		Name: "velocity-pressure", Gives: "velocity pressure at the mean roof height, strength level", Source: "ASCE 7-16 and 7-22 section 26.10; Kd is inside qh in 7-16 and in the pressure equation in 7-22",
		Inputs: []Input{
			amount("wind-speed", "basic wind speed of the risk category", quantity.Speed).from("60 mph", "300 mph"),
			choice("exposure", "exposure category", "B", "C", "D"),
			amount("height", "mean roof height", quantity.Length).from("3 ft", "500 ft"),
			optional(number("topographic", "topographic factor Kzt").from("1", "5"), "1"),
			optional(amount("elevation", "ground elevation above the sea", quantity.Length).from("-1500 ft", "15000 ft"), "0 ft"),
			asceEdition(),
		},
		Outputs: []Output{{"kz", "velocity pressure exposure coefficient", ""}, {"ke", "ground elevation factor", ""}, {"qh", "velocity pressure", "psf"}, {"kd-included", "whether Kd is inside qh", ""}},
		Example: []string{"wind-speed=110 mph", "exposure=B", "height=15 ft", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			v, err := w.VelocityPressure(a.Num("wind-speed"), a.Text("exposure"), a.Num("height"), a.Num("topographic"), a.Num("elevation"))
			r := &Result{}
			r.Set("kz", v.Kz)
			r.Set("ke", v.Ke)
			r.Set("qh", in("psf", v.Q))
			r.Set("kd-included", v.KdInside)
			return finish(r, err, v.Work(a.system), v.Refs)
		}),
	}
}

func zoneWidth() *Calculator {
	return &Calculator{
		Name: "zone-width", Gives: "width a of the edge zones of a sloped roof", Source: "ASCE 7 Figure 30.3-1",
		Inputs: []Input{amount("least-width", "least plan dimension of the building", quantity.Length).from("5 ft", "5000 ft"), amount("height", "mean roof height; eave height on roofs of 10 degrees or less", quantity.Length).from("3 ft", "500 ft"),
			optional(asceEdition(), "7-16")},
		Outputs: []Output{{"a", "zone width", "ft"}},
		Example: []string{"least-width=40 ft", "height=15 ft"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			z, err := w.ZoneWidth(a.Num("least-width"), a.Num("height"))
			r := &Result{}
			r.Set("a", in("ft", z.Edge))
			return finish(r, err, z.Work(a.system), z.Refs)
		}),
	}
}

func effectiveArea() *Calculator {
	return &Calculator{
		Name: "effective-area", Gives: "effective wind area of a span and its width", Source: "ASCE 7 section 26.2",
		Inputs:  []Input{amount("span", "span", quantity.Length).from("1 in", "500 ft"), without(amount("width", "width that loads the span", quantity.Length).from("0 ft", "500 ft"), "a third of the span")},
		Outputs: []Output{{"area", "effective wind area", "ft2"}},
		Example: []string{"span=4 ft", "width=2.75 ft"},
		Run: func(a *Args, _ *table.Set) (*Result, error) {
			width := a.Num("span") / 3
			if a.Has("width") {
				width = a.Num("width")
			}
			area, err := structural.EffectiveArea(a.Num("span"), width)
			r := &Result{}
			r.Set("area", in("ft2", area))
			r.Workf("area = span %s x the greater of width %s and a third of the span = %s", quantity.Of(a.Num("span"), quantity.Length).Format(a.system), quantity.Of(width, quantity.Length).Format(a.system), quantity.Of(area, quantity.Area).Format(a.system))
			r.Cite = []string{"ASCE 7 26.2"}
			return finish(r, err, nil, nil)
		},
	}
}

func roofZone() *Calculator {
	return &Calculator{
		Name: "roof-zone", Gives: "wind zone of a point of a rectangular roof", Source: "ASCE 7-16 and 7-22 Figures 30.3-2A to 2G and 30.3-5; gable ridge along the length, monoslope low eave at y = 0",
		Inputs: []Input{
			roofShape(), amount("slope", "slope of the roof", quantity.Angle).from("0 deg", "60 deg"),
			amount("length", "length of the roof in plan, along a gable's ridge", quantity.Length).from("3 ft", "5000 ft"), amount("width", "width of the roof in plan", quantity.Length).from("3 ft", "5000 ft"),
			amount("height", "mean roof height", quantity.Length).from("3 ft", "500 ft"),
			amount("x", "distance along the length from a corner, in plan", quantity.Length).from("0 ft", "5000 ft"), amount("y", "distance along the width from the same corner, in plan", quantity.Length).from("0 ft", "5000 ft"),
			asceEdition(),
		},
		Outputs: []Output{{"zone", "zone of the point", ""}, {"a", "zone width of sloped roofs", "ft"}},
		Example: []string{"roof=gable", "slope=18 deg", "length=60 ft", "width=40 ft", "height=15 ft", "x=2 ft", "y=20 ft", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			length, width, height := a.Num("length"), a.Num("width"), a.Num("height")
			least := math.Min(length, width)
			f, err := w.Figure(structural.Roof(a.Text("roof")), a.Num("slope"), height/least)
			if err != nil {
				return nil, fault(err)
			}
			p, err := structural.RectanglePlace(f.Roof, length, width, a.Num("x"), a.Num("y"))
			if err := errors.Join(err, w.CheckHeight(height)); err != nil {
				return nil, fault(err)
			}
			z, err := w.ZoneWidth(least, height)
			if err != nil {
				return nil, fault(err)
			}
			r := &Result{}
			r.Set("zone", f.Zone(p, z.Edge, height))
			r.Set("a", in("ft", z.Edge))
			r.Workf("Figure %s; %s", f.Name, describePlace(p))
			return finish(r, nil, z.Work(a.system), append(z.Refs, f.Ref))
		}),
	}
}

func describePlace(p structural.Place) string {
	var parts []string
	for _, d := range []struct {
		name string
		v    float64
	}{{"eave", p.Eave}, {"high eave", p.HighEave}, {"rake", p.Rake}, {"ridge", p.Ridge}, {"hip", p.Hip}, {"adjacent edge", p.Adjacent}} {
		if !math.IsInf(d.v, 1) {
			parts = append(parts, d.name+" at "+strconv.FormatFloat(in("ft", d.v), 'f', 2, 64)+" ft")
		}
	}
	return strings.Join(parts, ", ")
}

func pressureCoefficient() *Calculator {
	return &Calculator{
		Name: "pressure-coefficient", Gives: "external pressure coefficients of a roof zone by effective wind area", Source: "ASCE 7-10 Figures 30.4-2 and 30.4-5, 7-16 and 7-22 Figures 30.3-2A to 2I and 30.3-5",
		Inputs: []Input{
			roofShape(), amount("slope", "slope of the roof", quantity.Angle).from("0 deg", "60 deg"), free("zone", "zone as the figure names it (1' may be written 1p; add \" overhang\" for an overhang)"),
			amount("area", "effective wind area", quantity.Area).from("0.01 ft2", "5000 ft2"), without(number("height-over-width", "mean roof height over the least plan dimension, for 7-16 hip roofs").from("0.02", "10"), "not known"), asceEdition(),
		},
		Outputs: []Output{{"uplift", "coefficient away from the roof", ""}, {"downward", "coefficient towards the roof", ""}, {"figure", "figure that holds", ""}},
		Example: []string{"roof=gable", "slope=18 deg", "zone=2n", "area=19.8 ft2", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			f, err := w.Figure(structural.Roof(a.Text("roof")), a.Num("slope"), a.Num("height-over-width"))
			if err != nil {
				return nil, fault(err)
			}
			up, err1 := f.Uplift(strings.ToLower(a.Text("zone")), a.Num("area"))
			down, err2 := f.Downward(a.Num("area"))
			if err := errors.Join(err1, err2); err != nil {
				return nil, fault(err)
			}
			c, _ := f.Curve(strings.ToLower(a.Text("zone")))
			r := &Result{}
			r.Set("uplift", up)
			r.Set("downward", down)
			r.Set("figure", f.Name)
			r.Workf("Figure %s, zone %s at %s: GCp %.3f and +%.3f (linear in the logarithm of the area)", f.Name, structural.ZoneName(strings.ToLower(a.Text("zone"))), quantity.Of(a.Num("area"), quantity.Area).Format(a.system), up, down)
			return finish(r, nil, nil, []table.Ref{f.Ref, c.Ref})
		}),
	}
}

func roofPressure() *Calculator {
	return &Calculator{
		Name: "roof-pressure", Gives: "net uplift pressure on the bare roof: components and cladding, without an array", Source: "ASCE 7 chapter 30, low-rise buildings: p = qh (GCp - GCpi); a roof is designed for it whether or not an array stands on it",
		Inputs: []Input{
			amount("wind-speed", "basic wind speed of the risk category", quantity.Speed).from("60 mph", "300 mph"), choice("exposure", "exposure category", "B", "C", "D"),
			amount("height", "mean roof height", quantity.Length).from("3 ft", "60 ft"), roofShape(), amount("slope", "slope of the roof", quantity.Angle).from("0 deg", "60 deg"),
			free("zone", "zone as the figure names it"), optional(amount("area", "effective wind area", quantity.Area).from("0.01 ft2", "5000 ft2"), "10 ft2"),
			without(number("height-over-width", "mean roof height over the least plan dimension, for 7-16 hip roofs").from("0.02", "10"), "not known"),
			optional(choice("enclosure", "enclosure of the building", "enclosed", "partially-enclosed"), "enclosed"), asceEdition(),
		},
		Outputs: []Output{{"strength", "pressure away from the roof, strength level", "psf"}, {"allowable", "the same at allowable level", "psf"}},
		Example: []string{"wind-speed=115 mph", "exposure=C", "height=15 ft", "roof=gable", "slope=20 deg", "zone=2n", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			v, err := w.VelocityPressure(a.Num("wind-speed"), a.Text("exposure"), a.Num("height"), 1, 0)
			if err != nil {
				return nil, fault(err)
			}
			f, err := w.Figure(structural.Roof(a.Text("roof")), a.Num("slope"), a.Num("height-over-width"))
			if err != nil {
				return nil, fault(err)
			}
			p, err := w.RoofPressure(v.Q, f, strings.ToLower(a.Text("zone")), a.Num("area"), a.Text("enclosure"))
			r := &Result{}
			r.Set("strength", in("psf", p.Strength))
			r.Set("allowable", in("psf", p.Allowable))
			return finish(r, err, append(v.Work(a.system), p.Work(a.system)...), append(v.Refs, p.Refs...))
		}),
	}
}

func equalization() *Calculator {
	return &Calculator{
		Name: "equalization", Gives: "pressure equalization factor of a roof-parallel array", Source: "ASCE 7-16 and 7-22 Figure 29.4-8",
		Inputs:  []Input{amount("area", "tributary area of the attachment, or area of the module", quantity.Area).from("0.01 ft2", "5000 ft2"), methodEdition()},
		Outputs: []Output{{"factor", "gammaA", ""}},
		Example: []string{"area=12.7 ft2", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			g, err := w.Equalization(a.Num("area"))
			r := &Result{}
			r.Set("factor", g)
			r.Workf("gammaA = %.3f at %s (linear in the logarithm of the area)", g, quantity.Of(a.Num("area"), quantity.Area).Format(a.system))
			return finish(r, err, nil, w.EqualizationRefs())
		}),
	}
}

func arrayEdge() *Calculator {
	return &Calculator{
		Name: "array-edge", Gives: "array edge factor of a panel, uplift", Source: "ASCE 7-16 and 7-22 section 29.4.4",
		Inputs: []Input{
			amount("height", "mean roof height", quantity.Length).from("3 ft", "500 ft"), amount("edge-distance", "from the panel to the roof edge", quantity.Length).from("0 ft", "5000 ft"),
			amount("gap-to-array", "to the next array", quantity.Length).from("0 ft", "5000 ft"), amount("gap-to-next", "to the next panel", quantity.Length).from("0 ft", "5000 ft"),
			amount("end-distance", "from the panel to the end of its row at that edge", quantity.Length).from("0 ft", "5000 ft"), amount("chord", "chord of a panel", quantity.Length).from("0.5 ft", "20 ft"),
			without(amount("height-above-roof", "height of the panel above the roof", quantity.Length).from("0.1 in", "10 ft"), "not known, so that an answer that turns on it is refused"), methodEdition(),
		},
		Outputs: []Output{{"factor", "gammaE for uplift", ""}, {"exposed", "whether the panel is exposed", ""}},
		Example: []string{"height=15 ft", "edge-distance=10 ft", "gap-to-array=20 ft", "gap-to-next=20 ft", "end-distance=2 ft", "chord=3.3 ft", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			e, err := w.EdgeFactor(structural.Edge{Height: a.Num("height"), EdgeDistance: a.Num("edge-distance"), GapToArray: a.Num("gap-to-array"), GapToNext: a.Num("gap-to-next"),
				EndDistance: a.Num("end-distance"), Chord: a.Num("chord"), AboveRoof: a.Num("height-above-roof")})
			if err == nil && !a.Has("height-above-roof") {
				err = decidedWithoutHeight(w, e)
			}
			r := &Result{}
			r.Set("factor", e.Factor)
			r.Set("exposed", e.Exposed)
			return finish(r, err, e.Work(a.system), e.Refs)
		}),
	}
}

// decidedWithoutHeight refuses a factor that some height above the roof would
// make greater.
func decidedWithoutHeight(w *structural.ASCE7, e structural.EdgeFactor) error {
	for _, inches := range []float64{0.5, 2, 5, 10, 24, 60} {
		at := e.Edge
		at.AboveRoof = inches * quantity.Inch
		if higher, err := w.EdgeFactor(at); err != nil || higher.Factor > e.Factor {
			return errors.Join(err, Faultf("height-above-roof: the answer turns on it: such as 5 in is expected"))
		}
	}
	return nil
}

func roofParallelScope() *Calculator {
	return &Calculator{
		Name: "roof-parallel-scope", Gives: "whether an array is within the roof-parallel method, and every reason if not", Source: "ASCE 7-16 and 7-22 section 29.4.4",
		Inputs: []Input{
			amount("slope-difference", "angle between module and roof", quantity.Angle).from("0 deg", "90 deg"), amount("height-above-roof", "height of the modules above the roof", quantity.Length).from("0.1 in", "10 ft"),
			amount("gap", "least gap between modules", quantity.Length).from("0 in", "5 ft"), amount("gap-spacing", "distance between gaps", quantity.Length).from("0.5 ft", "500 ft"),
			amount("edge-distance", "from the array to roof edge, ridge and hip", quantity.Length).from("0 ft", "5000 ft"), methodEdition(),
		},
		Outputs: []Output{{"in-scope", "whether every limit is met", ""}, {"why", "every limit that is not met", ""}},
		Example: []string{"slope-difference=0 deg", "height-above-roof=5 in", "gap=0.5 in", "gap-spacing=5.5 ft", "edge-distance=18 in", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			s := w.ParallelScope(structural.Scope{SlopeDifference: a.Num("slope-difference"), AboveRoof: a.Num("height-above-roof"), Gap: a.Num("gap"), GapSpacing: a.Num("gap-spacing"), EdgeDistance: a.Num("edge-distance")}, a.system)
			why := "every limit is met"
			if !s.InScope {
				why = "outside the prescriptive scope: " + strings.Join(s.Reasons, "; ")
			}
			r := &Result{}
			r.Set("in-scope", s.InScope)
			r.Set("why", why)
			return finish(r, nil, []string{why}, s.Refs)
		}),
	}
}

func flatRoofArray() *Calculator {
	return &Calculator{
		Name: "flat-roof-array", Gives: "net pressure on a tilted array on a flat roof, strength level", Source: "ASCE 7-16 and 7-22 section 29.4.3",
		Inputs: []Input{
			amount("qh", "velocity pressure of the edition", quantity.Pressure).from("1 psf", "200 psf"), number("nominal-coefficient", "nominal net pressure coefficient; negative for uplift").from("-6", "6"), number("edge", "array edge factor gammaE").from("1", "2"),
			amount("chord", "chord of a panel", quantity.Length).from("0.5 ft", "20 ft"), amount("parapet", "parapet height above the roof", quantity.Length).from("0 ft", "50 ft"), amount("height", "mean roof height", quantity.Length).from("3 ft", "500 ft"), methodEdition(),
		},
		Outputs: []Output{{"chord-factor", "gammaC", ""}, {"parapet-factor", "gammaP", ""}, {"strength", "net pressure, sign of the coefficient", "psf"}, {"design", "the same, not under the least pressure", "psf"}},
		Example: []string{"qh=15 psf", "nominal-coefficient=-1.4", "edge=1.5", "chord=6.33 ft", "parapet=0 ft", "height=15 ft", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			p, err := w.TiltedPressure(a.Num("qh"), a.Num("nominal-coefficient"), a.Num("edge"), a.Num("chord"), a.Num("parapet"), a.Num("height"))
			r := &Result{}
			r.Set("chord-factor", p.ChordFactor)
			r.Set("parapet-factor", p.ParapetFactor)
			r.Set("strength", in("psf", p.Strength))
			r.Set("design", in("psf", p.Design))
			return finish(r, err, p.Work(a.system), p.Refs)
		}),
	}
}

func arrayPressure() *Calculator {
	return &Calculator{
		Name: "array-pressure", Gives: "net pressure on a roof-parallel array", Source: "ASCE 7-16 and 7-22 section 29.4.4; least pressure 30.2.2",
		Inputs: []Input{
			amount("qh", "velocity pressure of the edition (7-22: without Kd)", quantity.Pressure).from("1 psf", "200 psf"), number("coefficient", "GCp; negative for uplift").from("-6", "6"),
			number("edge", "array edge factor gammaE").from("1", "2"), number("equalization", "pressure equalization factor gammaA").from("0.4", "1"), methodEdition(),
		},
		Outputs: []Output{{"strength", "strength level, least pressure included", "psf"}, {"allowable", "allowable level", "psf"}},
		Example: []string{"qh=15.01 psf", "coefficient=-2", "edge=1.5", "equalization=0.76", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			p, err := w.ArrayPressure(a.Num("qh"), a.Num("coefficient"), a.Num("edge"), a.Num("equalization"))
			r := &Result{}
			r.Set("strength", in("psf", p.Strength))
			r.Set("allowable", in("psf", p.Allowable))
			return finish(r, err, p.Work(a.system), p.Refs)
		}),
	}
}

// demand

func attachmentUplift() *Calculator {
	return &Calculator{
		Name: "attachment-uplift", Gives: "net uplift of one attachment", Source: "ASCE 7 sections 2.3 and 2.4: 0.6D + 0.6W (asd), 0.9D + 1.0W (lrfd)",
		Inputs: []Input{
			amount("pressure", "strength-level uplift pressure, negative", quantity.Pressure).from("-400 psf", "0 psf"), amount("tributary", "tributary area", quantity.Area).from("0.1 ft2", "500 ft2"),
			amount("dead", "weight per area on the slope", quantity.Pressure).from("0 psf", "20 psf"), amount("slope", "slope of the roof", quantity.Angle).from("0 deg", "60 deg"),
			optional(choice("combination", "level of the combination", "asd", "lrfd"), "asd"), optional(asceEdition(), "7-16"),
		},
		Outputs: []Output{{"net", "net uplift, positive away from the roof; negative if dead load alone holds it", "lb"}, {"dead-normal", "dead load normal to the slope, unfactored", "lb"}, {"dead-downslope", "dead load down the slope, unfactored", "lb"}},
		Example: []string{"pressure=-34.2 psf", "tributary=12.7 ft2", "dead=2.9 psf", "slope=18 deg"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			u, err := w.AttachmentUplift(a.Num("pressure"), a.Num("tributary"), a.Num("dead"), a.Num("slope"), structural.Level(a.Text("combination")))
			r := &Result{}
			r.Set("net", in("lb", u.Net))
			r.Set("dead-normal", in("lb", u.DeadNormal))
			r.Set("dead-downslope", in("lb", u.DeadDownslope))
			return finish(r, err, u.Work(a.system), u.Refs)
		}),
	}
}

func attachmentSpacing() *Calculator {
	return &Calculator{
		Name: "attachment-spacing", Gives: "largest spacing along the rail at which one attachment holds in a zone", Source: "ASCE 7-16 and 7-22 section 29.4.4, combinations 2.4; every closer spacing holds too",
		Inputs: []Input{
			roofShape(), amount("slope", "slope of the roof", quantity.Angle).from("0 deg", "60 deg"), free("zone", "zone as the figure names it"), without(number("height-over-width", "mean roof height over the least plan dimension, for 7-16 hip roofs").from("0.02", "10"), "not known"),
			amount("qh", "velocity pressure of the edition", quantity.Pressure).from("1 psf", "200 psf"), optional(number("edge", "array edge factor gammaE").from("1", "2"), "1.5"), amount("dead", "weight per area on the slope", quantity.Pressure).from("0 psf", "20 psf"),
			optional(amount("snow", "sloped roof snow of the edition on the horizontal projection", quantity.Pressure).from("0 psf", "800 psf"), "0 psf"),
			amount("width", "width of array that one rail carries", quantity.Length).from("0.2 ft", "20 ft"), amount("limit", "greatest spacing of the maker", quantity.Length).from("1 in", "30 ft"),
			amount("uplift-allowable", "allowable uplift of one attachment", quantity.Force).from("1 lb", "50000 lb"), without(amount("down-allowable", "allowable downward force of one attachment", quantity.Force).from("1 lb", "50000 lb"), "downward force is not held"), methodEdition(),
		},
		Outputs: []Output{{"spacing", "largest spacing, in steps of half an inch; zero if none holds", "in"}, {"uplift", "net uplift there, allowable level", "lb"}, {"downward", "downward force there, allowable level", "lb"}},
		Example: []string{"roof=gable", "slope=18 deg", "zone=2n", "qh=15 psf", "dead=3 psf", "width=2.75 ft", "limit=6 ft", "uplift-allowable=300 lb", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			f, err := w.Figure(structural.Roof(a.Text("roof")), a.Num("slope"), a.Num("height-over-width"))
			if err != nil {
				return nil, fault(err)
			}
			uplift, down := a.Num("uplift-allowable"), math.Inf(1)
			if a.Has("down-allowable") {
				down = a.Num("down-allowable")
			}
			holds := func(_ string, d *structural.Demand) bool {
				return structural.Meets(d.UpliftASD, uplift) && structural.Meets(d.DownASD, down)
			}
			loads := structural.ArrayLoads{Qh: a.Num("qh"), Dead: a.Num("dead"), Snow: a.Num("snow"), Scope: structural.ScopeResult{InScope: true}, Figure: f}
			s, err := structural.LargestSpacing(func(at structural.Attachment) (structural.Demand, error) { return w.Demand(loads, at) }, []string{strings.ToLower(a.Text("zone"))}, a.Num("edge"), structural.Strip{Width: a.Num("width"), Share: 1}, a.Num("limit"), holds)
			if err != nil {
				return nil, fault(err)
			}
			r := &Result{}
			r.Set("spacing", in("in", s[0].Limit))
			r.Set("uplift", in("lb", s[0].Demand.UpliftASD))
			r.Set("downward", in("lb", s[0].Demand.DownASD))
			r.Workf("the array is taken to be in the scope of 29.4.4: see roof-parallel-scope")
			if s[0].Limit == 0 {
				return finish(r, nil, []string{"no spacing holds in this zone"}, []table.Ref{f.Ref})
			}
			return finish(r, nil, s[0].Demand.Work(w, loads, a.system), s[0].Demand.Refs(w, loads))
		}),
	}
}

// wood

func fastenerConditions(a *Args, n *structural.NDS) (structural.Conditions, error) {
	c := structural.Conditions{Wet: a.Flag("wet"), EndGrain: a.Flag("end-grain")}
	if a.Has("duration") {
		text := strings.ToLower(a.Text("duration"))
		cd, ok := n.Duration(text)
		if !ok {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				return c, Faultf("duration: %q is neither a factor nor one of permanent, normal, snow, roof-live, wind, seismic", text)
			}
			cd = v
		}
		if !(cd >= 0.9 && cd <= 2) {
			return c, Faultf("duration: %s is out of range: 0.9 to 2 is expected", text)
		}
		c.Duration = cd
	}
	if !a.Has("temperature") {
		return c, nil
	}
	text := a.Text("temperature")
	if ct, err := strconv.ParseFloat(text, 64); err == nil {
		if !(ct >= 0.5 && ct <= 1) {
			return c, Faultf("temperature: the factor %s is out of range: 0.5 to 1 is expected", text)
		}
		c.Temperature = ct
		return c, nil
	}
	t, err := quantity.Parse(text, quantity.Temperature)
	if err != nil {
		return c, Faultf("temperature: %v", err)
	}
	ct, err := n.TemperatureFactor(t.SI, c.Wet)
	if err != nil {
		return c, fault(err)
	}
	c.Temperature = ct
	return c, nil
}

func countOf(a *Args) int {
	if a.Has("count") {
		return a.Int("count")
	}
	return 1
}

func durationInput() Input {
	return optional(free("duration", "load duration factor, or the load: permanent, normal, snow, roof-live, wind, seismic"), "1")
}

func countInput() Input {
	return optional(count("count", "number of fasteners").from("1", "50"), "1")
}

func wetInput() Input {
	return optional(flag("wet", "wet service"), "no")
}

func temperatureInput() Input {
	return without(free("temperature", "sustained temperature (such as 120 degF), or the factor Ct itself"), "up to 100 degF")
}

func lagWithdrawal() *Calculator {
	return &Calculator{
		Name: "lag-withdrawal", Gives: "withdrawal value of lag screws: reference per inch of thread, and allowable of all screws", Source: "NDS 12.2.1, Table 12.2A; thread from Appendix L",
		Inputs: []Input{
			number("specific-gravity", "assigned specific gravity of the member").from("0.3", "0.8"), amount("diameter", "nominal diameter", quantity.Length).from("0.1 in", "1.5 in"),
			without(amount("thread", "thread in the member, less the tip", quantity.Length).from("0.25 in", "20 in"), "what length leaves"), without(amount("length", "length under the head, in place of thread", quantity.Length).from("0.5 in", "40 in"), "thread is given"),
			without(amount("plate", "foot, flashing and covering that the screw passes", quantity.Length).from("0 in", "10 in"), "thread is given"), without(amount("sheathing", "sheathing that the screw passes", quantity.Length).from("0 in", "6 in"), "thread is given"),
			without(amount("depth", "depth of the member that the screw goes into", quantity.Length).from("0.25 in", "40 in"), "the screw does not come out of it"),
			countInput(), durationInput(), wetInput(), temperatureInput(), optional(flag("end-grain", "driven into end grain"), "no"), ndsEdition(),
		},
		Outputs: []Output{{"reference", "reference withdrawal value W per inch of thread of one screw", "lb/in"}, {"thread", "thread counted", "in"}, {"allowable", "adjusted value of all screws", "lb"}},
		Example: []string{"specific-gravity=0.50", "diameter=5/16 in", "thread=2.5 in", "duration=1.6"},
		Run: withNDS(func(a *Args, n *structural.NDS) (*Result, error) {
			c, err := fastenerConditions(a, n)
			if err != nil {
				return nil, err
			}
			r := &Result{}
			thread := a.Num("thread")
			if a.Has("thread") == a.Has("length") {
				return nil, Faultf("give either thread, or length with plate and sheathing")
			}
			if a.Has("thread") && (a.Has("plate") || a.Has("sheathing") || a.Has("depth")) {
				return nil, Faultf("plate, sheathing and depth go with length, not with thread")
			}
			if a.Has("length") {
				if !a.Has("plate") || !a.Has("sheathing") {
					return nil, Faultf("length needs plate and sheathing (0 in where there is none)")
				}
				depth := a.Num("length") // which no screw of that length comes out of
				if a.Has("depth") {
					depth = a.Num("depth")
				}
				t, err := n.LagThread(a.Num("diameter"), a.Num("length"), a.Num("plate"), a.Num("sheathing"), depth)
				if err != nil {
					return nil, fault(err)
				}
				thread = t.Effective
				r.Work = t.Work(a.system)
				r.cite(t.Refs)
			}
			w, err := n.LagWithdrawal(a.Num("specific-gravity"), a.Num("diameter"), thread, countOf(a), c)
			r.Set("reference", in("lb/in", w.Reference))
			r.Set("thread", in("in", thread))
			r.Set("allowable", in("lb", w.Allowable))
			return finish(r, err, w.Work(a.system), w.Refs)
		}),
	}
}

func screwWithdrawal() *Calculator {
	return &Calculator{
		Name: "screw-withdrawal", Gives: "withdrawal value of wood screws: reference per inch of thread, and allowable of all screws", Source: "NDS 12.2.2",
		Inputs: []Input{
			number("specific-gravity", "assigned specific gravity of the member").from("0.3", "0.8"), free("diameter", "diameter, or the number of the screw such as #10"), amount("thread", "thread in the member", quantity.Length).from("0.25 in", "20 in"),
			countInput(), durationInput(), wetInput(), temperatureInput(), ndsEdition(),
		},
		Outputs: []Output{{"reference", "reference withdrawal value W per inch of thread of one screw", "lb/in"}, {"allowable", "adjusted value of all screws", "lb"}},
		Example: []string{"specific-gravity=0.50", "diameter=#14", "thread=2 in", "duration=1.6"},
		Run: withNDS(func(a *Args, n *structural.NDS) (*Result, error) {
			d, err := screwDiameter(a.Text("diameter"), n.WoodScrewDiameter)
			if err != nil {
				return nil, err
			}
			c, err := fastenerConditions(a, n)
			if err != nil {
				return nil, err
			}
			w, err := n.ScrewWithdrawal(a.Num("specific-gravity"), d, a.Num("thread"), countOf(a), c)
			r := &Result{}
			r.Set("reference", in("lb/in", w.Reference))
			r.Set("allowable", in("lb", w.Allowable))
			return finish(r, err, w.Work(a.system), w.Refs)
		}),
	}
}

// screwDiameter reads "#10" by the table of the standard, otherwise a length.
func screwDiameter(text string, numbered func(string) (float64, bool)) (float64, error) {
	if number, ok := strings.CutPrefix(text, "#"); ok {
		d, known := numbered(strings.TrimSpace(number))
		if !known {
			return 0, Faultf("diameter: no screw of number %q in the table", number)
		}
		return d, nil
	}
	v, err := quantity.Parse(text, quantity.Length)
	if err != nil {
		return 0, Faultf("diameter: %v", err)
	}
	if err := amount("diameter", "", quantity.Length).from("0.05 in", "1 in").within(v.SI, text); err != nil {
		return 0, Faultf("diameter: %v", err)
	}
	return v.SI, nil
}

// inputs of the side plate and of what lies below it

func sidePlateInputs() []Input {
	return []Input{
		amount("side-plate", "thickness of the side plate", quantity.Length).from("0.02 in", "2 in"),
		without(free("side-material", "A653 (Grade 33 sheet), A36, aluminum, or the dowel bearing strength"), "A653 under 1/4 in, A36 from there"),
		optional(amount("gap", "gap between side plate and member, such as the hollow of a rib", quantity.Length).from("0 in", "6 in"), "0 in"),
	}
}

func lateralOutputs() []Output {
	return []Output{{"parallel", "adjusted value along the grain", "lb"}, {"perpendicular", "adjusted value across the grain", "lb"}, {"parallel-mode", "yield mode along the grain", ""}, {"perpendicular-mode", "yield mode across the grain", ""},
		{"im", "yield mode Im along the grain, adjusted", "lb"}, {"is", "yield mode Is along the grain, adjusted", "lb"}, {"ii", "yield mode II along the grain, adjusted", "lb"},
		{"iiim", "yield mode IIIm along the grain, adjusted", "lb"}, {"iiis", "yield mode IIIs along the grain, adjusted", "lb"}, {"iv", "yield mode IV along the grain, adjusted", "lb"}}
}

func lateralResult(a *Args, l structural.Lateral, err error) (*Result, error) {
	r := &Result{}
	r.Set("parallel", in("lb", l.Parallel))
	r.Set("perpendicular", in("lb", l.Perpendicular))
	r.Set("parallel-mode", l.ParallelMode)
	r.Set("perpendicular-mode", l.PerpendicularMode)
	for _, m := range l.Along {
		r.Set(strings.ToLower(m.Name), in("lb", m.Value))
	}
	return finish(r, err, l.Work(a.system), l.Refs)
}

func lagLateral() *Calculator {
	return &Calculator{
		Name: "lag-lateral", Gives: "lateral value of one lag screw with a metal side plate, along and across the grain", Source: "NDS 12.3 yield limit equations, which give Table 12K before its rounding to 10 lb",
		Inputs: slices.Concat([]Input{number("specific-gravity", "assigned specific gravity of the member").from("0.3", "0.8"), amount("diameter", "nominal diameter", quantity.Length).from("0.1 in", "1.5 in")},
			sidePlateInputs(), []Input{amount("penetration", "screw in the member, less the tip", quantity.Length).from("0.25 in", "30 in"), durationInput(), wetInput(), temperatureInput(), optional(flag("end-grain", "driven into end grain"), "no"), ndsEdition()}),
		Outputs: lateralOutputs(),
		Example: []string{"specific-gravity=0.50", "diameter=5/16 in", "side-plate=0.075 in", "side-material=A653", "penetration=2.5 in"},
		Run: withNDS(func(a *Args, n *structural.NDS) (*Result, error) {
			j, c, err := joint(a, n)
			if err != nil {
				return nil, err
			}
			l, err := n.LagLateral(a.Num("diameter"), j, c)
			return lateralResult(a, l, err)
		}),
	}
}

func screwLateral() *Calculator {
	return &Calculator{
		Name: "wood-screw-lateral", Gives: "lateral value of one wood screw with a metal side plate, along and across the grain", Source: "NDS 12.3 yield limit equations; a gap by the general dowel equations of Technical Report 12",
		Inputs: slices.Concat([]Input{number("specific-gravity", "assigned specific gravity of the member").from("0.3", "0.8"), free("diameter", "diameter, or the number of the screw such as #10"),
			without(amount("root", "root diameter", quantity.Length).from("0.03 in", "0.6 in"), "that of a standard screw"), without(amount("bending-yield", "bending yield strength", quantity.Pressure).from("20 ksi", "300 ksi"), "by the diameter")},
			sidePlateInputs(), []Input{amount("penetration", "screw in the member, tip counted", quantity.Length).from("0.25 in", "30 in"), durationInput(), wetInput(), temperatureInput(), optional(flag("end-grain", "driven into end grain"), "no"), ndsEdition()}),
		Outputs: lateralOutputs(),
		Example: []string{"specific-gravity=0.42", "diameter=#14", "side-plate=0.105 in", "penetration=1.5 in", "duration=snow"},
		Run: withNDS(func(a *Args, n *structural.NDS) (*Result, error) {
			d, err := screwDiameter(a.Text("diameter"), n.WoodScrewDiameter)
			if err != nil {
				return nil, err
			}
			j, c, err := joint(a, n)
			if err != nil {
				return nil, err
			}
			var root, yield float64 // of a standard screw
			if a.Has("root") {
				root = a.Num("root")
			}
			if a.Has("bending-yield") {
				yield = a.Num("bending-yield")
			}
			l, err := n.ScrewLateral(d, root, yield, j, c)
			return lateralResult(a, l, err)
		}),
	}
}

// joint reads what a screw holds together, and the conditions.
func joint(a *Args, n *structural.NDS) (structural.Joint, structural.Conditions, error) {
	side, err := sidePlate(a, n)
	if err != nil {
		return structural.Joint{}, structural.Conditions{}, err
	}
	c, err := fastenerConditions(a, n)
	return structural.Joint{Gravity: a.Num("specific-gravity"), Side: side, Gap: a.Num("gap"), Penetration: a.Num("penetration")}, c, err
}

// sidePlate reads the side plate: the designation of its steel in any of its
// usual spellings, aluminum, or the dowel bearing strength as a pressure.
func sidePlate(a *Args, n *structural.NDS) (structural.Plate, error) {
	text := a.Text("side-material")
	word := strings.NewReplacer(" ", "", "-", "", "astm", "", "grade33", "", "gr33", "").Replace(strings.ToLower(text))
	switch word {
	case "":
		word = "steel"
	case "a653", "a36":
		word = strings.ToUpper(word)
	case "steel", "stainless", "aluminum":
	default:
		v, err := quantity.Parse(text, quantity.Pressure)
		if err != nil {
			return structural.Plate{}, Faultf("side-material: %q is neither A653, A36, aluminum nor a dowel bearing strength", text)
		}
		return structural.Plate{Thickness: a.Num("side-plate"), Bearing: v.SI}, nil
	}
	side, err := n.SidePlate(word, a.Num("side-plate"), 0)
	if err != nil {
		return side, fault(err)
	}
	return side, nil
}

func lagCombined() *Calculator {
	return &Calculator{
		Name: "lag-combined", Gives: "allowable resultant of a lag or wood screw in withdrawal and lateral load together", Source: "NDS 12.4.1",
		Inputs: []Input{
			amount("withdrawal", "allowable withdrawal", quantity.Force).from("1 lb", "100000 lb"), amount("lateral", "allowable lateral load", quantity.Force).from("1 lb", "100000 lb"),
			amount("withdrawal-demand", "withdrawal demand", quantity.Force).from("0 lb", "100000 lb"), amount("lateral-demand", "lateral demand", quantity.Force).from("0 lb", "100000 lb"),
		},
		Outputs: []Output{{"angle", "angle of the resultant from the wood surface", "deg"}, {"demand", "resultant", "lb"}, {"allowable", "allowable resultant", "lb"}, {"utilisation", "demand over allowable", ""}},
		Example: []string{"withdrawal=1064 lb", "lateral=304 lb", "withdrawal-demand=250 lb", "lateral-demand=60 lb"},
		Run: func(a *Args, _ *table.Set) (*Result, error) {
			c, err := structural.LagCombined(a.Num("withdrawal"), a.Num("lateral"), a.Num("withdrawal-demand"), a.Num("lateral-demand"))
			r := &Result{}
			r.Set("angle", c.Angle)
			r.Set("demand", in("lb", c.Demand))
			r.Set("allowable", in("lb", c.Allowable))
			r.Set("utilisation", c.Utilisation)
			r.Cite = []string{"NDS 12.4.1"}
			return finish(r, err, c.Work(a.system), nil)
		},
	}
}

// steel

func safetyInput() Input {
	return without(number("safety", "safety factor").from("1", "10"), "that of the standard")
}

func screwOutputs() []Output {
	return []Output{{"nominal", "nominal strength of one screw", "lb"}, {"allowable", "nominal over the safety factor", "lb"}}
}

func screwResult(a *Args) func(structural.Screw, error) (*Result, error) {
	return func(s structural.Screw, err error) (*Result, error) {
		if err != nil {
			return nil, fault(err)
		}
		r := &Result{}
		r.Set("nominal", in("lb", s.Nominal))
		r.Set("allowable", in("lb", s.Allowable))
		return finish(r, nil, s.Work(a.system), s.Refs)
	}
}

func screwPullout() *Calculator {
	return &Calculator{
		Name: "screw-pullout", Gives: "pull-out strength of a screw from the sheet it is threaded into", Source: "AISI S100 J4.4.1",
		Inputs: []Input{free("diameter", "nominal diameter, or the number of the screw such as #12"), amount("thickness", "base steel thickness of the sheet the screw is threaded into", quantity.Length).from("0.01 in", "1 in"),
			amount("tensile", "tensile strength of that sheet", quantity.Pressure).from("10 ksi", "200 ksi"), safetyInput()},
		Outputs: screwOutputs(),
		Example: []string{"diameter=0.25 in", "thickness=0.060 in", "tensile=45 ksi"},
		Run: withAISI(func(a *Args, s *structural.AISI) (*Result, error) {
			d, err := screwDiameter(a.Text("diameter"), s.ScrewDiameter)
			if err != nil {
				return nil, err
			}
			return screwResult(a)(s.Pullout(d, a.Num("thickness"), a.Num("tensile"), a.Num("safety")))
		}),
	}
}

func screwPullover() *Calculator {
	return &Calculator{
		Name: "screw-pullover", Gives: "pull-over strength of the sheet under a screw head or washer", Source: "AISI S100 J4.4.2",
		Inputs: []Input{amount("head", "diameter of head or washer", quantity.Length).from("0.2 in", "4 in"), amount("thickness", "base steel thickness of the sheet under the head", quantity.Length).from("0.01 in", "1 in"),
			amount("tensile", "tensile strength of that sheet", quantity.Pressure).from("10 ksi", "200 ksi"), safetyInput()},
		Outputs: screwOutputs(),
		Example: []string{"head=0.5 in", "thickness=0.030 in", "tensile=45 ksi"},
		Run: withAISI(func(a *Args, s *structural.AISI) (*Result, error) {
			return screwResult(a)(s.Pullover(a.Num("head"), a.Num("thickness"), a.Num("tensile"), a.Num("safety")))
		}),
	}
}

func screwShear() *Calculator {
	return &Calculator{
		Name: "screw-shear", Gives: "shear strength of a screw by tilting and bearing", Source: "AISI S100 J4.3.1",
		Inputs: []Input{free("diameter", "nominal diameter, or the number of the screw such as #12"), amount("thickness1", "thickness of the sheet under the head", quantity.Length).from("0.01 in", "1 in"), amount("tensile1", "its tensile strength", quantity.Pressure).from("10 ksi", "200 ksi"),
			amount("thickness2", "thickness of the sheet not under the head", quantity.Length).from("0.01 in", "1 in"), amount("tensile2", "its tensile strength", quantity.Pressure).from("10 ksi", "200 ksi"), safetyInput()},
		Outputs: screwOutputs(),
		Example: []string{"diameter=#10", "thickness1=0.048 in", "tensile1=45 ksi", "thickness2=0.048 in", "tensile2=45 ksi"},
		Run: withAISI(func(a *Args, s *structural.AISI) (*Result, error) {
			d, err := screwDiameter(a.Text("diameter"), s.ScrewDiameter)
			if err != nil {
				return nil, err
			}
			return screwResult(a)(s.Shear(d, a.Num("thickness1"), a.Num("tensile1"), a.Num("thickness2"), a.Num("tensile2"), a.Num("safety")))
		}),
	}
}

func screwCombined() *Calculator {
	return &Calculator{
		Name: "screw-combined", Gives: "what shear and tension at once take of a screw in steel", Source: "AISI S100 J4.5",
		Inputs: []Input{amount("shear", "shear on the screw, allowable level", quantity.Force).from("0 lb", "10000 lb"), amount("tension", "tension on the screw, allowable level", quantity.Force).from("0 lb", "10000 lb"),
			free("diameter", "nominal diameter, or the number of the screw such as #12"), amount("head", "diameter of head or washer", quantity.Length).from("0.2 in", "4 in"),
			amount("thickness1", "thickness of the sheet under the head", quantity.Length).from("0.01 in", "1 in"), amount("tensile1", "its tensile strength", quantity.Pressure).from("10 ksi", "200 ksi"),
			amount("thickness2", "thickness of the sheet not under the head", quantity.Length).from("0.01 in", "1 in"), amount("tensile2", "its tensile strength", quantity.Pressure).from("10 ksi", "200 ksi"), amount("yield2", "its yield strength", quantity.Pressure).from("10 ksi", "200 ksi"),
			amount("screw-shear", "nominal shear strength of the screw itself", quantity.Force).from("10 lb", "100000 lb"), amount("screw-tension", "nominal tension strength of the screw itself", quantity.Force).from("10 lb", "100000 lb"), safetyInput()},
		Outputs: []Output{{"pullover", "with pull-over", ""}, {"eccentric", "with half of the pull-over, for a load beside the screw", ""}, {"pullout", "with pull-out", ""}, {"screw", "of the screw itself", ""}, {"utilisation", "largest of those within the range of their tests", ""}, {"bound", "largest of all, by a safe bound outside the range", ""}, {"outside", "where the joint leaves the range of the tests", ""}},
		Example: []string{"shear=50 lb", "tension=150 lb", "diameter=0.25 in", "head=0.56 in", "thickness1=0.105 in", "tensile1=45 ksi", "thickness2=0.0566 in", "tensile2=65 ksi", "yield2=50 ksi", "screw-shear=2000 lb", "screw-tension=3500 lb"},
		Run: withAISI(func(a *Args, s *structural.AISI) (*Result, error) {
			d, err := screwDiameter(a.Text("diameter"), s.ScrewDiameter)
			if err != nil {
				return nil, err
			}
			j := structural.Plies{Diameter: d, Thickness1: a.Num("thickness1"), Tensile1: a.Num("tensile1"), Thickness2: a.Num("thickness2"), Tensile2: a.Num("tensile2"), Yield2: a.Num("yield2")}
			safety := a.Num("safety")
			var errs [5]error
			j.Shear, errs[0] = s.Shear(d, j.Thickness1, j.Tensile1, j.Thickness2, j.Tensile2, safety)
			j.Pullover, errs[1] = s.Pullover(a.Num("head"), j.Thickness1, j.Tensile1, safety)
			j.Pullout, errs[2] = s.Pullout(d, j.Thickness2, j.Tensile2, safety)
			j.ShearOfScrew, errs[3] = s.Tested("shear of the screw itself", a.Num("screw-shear"), safety)
			j.TensionOfScrew, errs[4] = s.Tested("tension of the screw itself", a.Num("screw-tension"), safety)
			if err := errors.Join(errs[:]...); err != nil {
				return nil, fault(err)
			}
			i, err := s.Interaction(a.Num("shear"), a.Num("tension"), j, a.system)
			if err != nil {
				return nil, fault(err)
			}
			r := &Result{}
			r.Set("pullover", i.Pullover)
			r.Set("eccentric", i.Eccentric)
			r.Set("pullout", i.Pullout)
			r.Set("screw", i.Screw)
			r.Set("utilisation", i.Utilisation)
			r.Set("bound", i.Bound)
			r.Set("outside", cmp.Or(strings.Join(i.Outside(), "; "), "nowhere"))
			var work []string
			for _, part := range []structural.Screw{j.Shear, j.Pullover, j.Pullout, j.ShearOfScrew, j.TensionOfScrew} {
				work = append(work, part.Work(a.system)[0])
			}
			return finish(r, nil, work, i.Refs)
		}),
	}
}

func screwBending() *Calculator {
	return &Calculator{
		Name: "screw-bending", Gives: "load across the shank of a screw that stands free, such as over the rib of a sheet", Source: "bending of a cantilever, elastic over the root of the thread",
		Inputs: []Input{free("diameter", "nominal diameter, or the number of the screw such as #12"), amount("arm", "length that stands free", quantity.Length).from("0.05 in", "12 in"),
			amount("screw-tension", "nominal tension strength of the screw itself", quantity.Force).from("10 lb", "100000 lb"), safetyInput()},
		Outputs: screwOutputs(),
		Example: []string{"diameter=0.25 in", "arm=1.25 in", "screw-tension=3500 lb"},
		Run: withAISI(func(a *Args, s *structural.AISI) (*Result, error) {
			d, err := screwDiameter(a.Text("diameter"), s.ScrewDiameter)
			if err != nil {
				return nil, err
			}
			return screwResult(a)(s.Bending(d, a.Num("arm"), a.Num("screw-tension"), a.Num("safety")))
		}),
	}
}

func testedCapacity() *Calculator {
	return &Calculator{
		Name: "tested-capacity", Gives: "allowable load of a made part, such as a seam clamp, from its maker's test", Source: "the maker's tested ultimate and safety factor as given",
		Inputs:  []Input{amount("ultimate", "tested ultimate load", quantity.Force).from("10 lb", "100000 lb"), number("safety", "safety factor as given").from("1", "10")},
		Outputs: []Output{{"allowable", "ultimate over safety factor", "lb"}},
		Example: []string{"ultimate=1100 lb", "safety=2.5"},
		Run: func(a *Args, _ *table.Set) (*Result, error) {
			c, err := structural.Tested("tested", a.Num("ultimate"), a.Num("safety"))
			r := &Result{}
			r.Set("allowable", in("lb", c.Allowable))
			r.Workf("allowable = %s / %.2f = %s", quantity.Of(a.Num("ultimate"), quantity.Force).Format(a.system), a.Num("safety"), quantity.Of(c.Allowable, quantity.Force).Format(a.system))
			return finish(r, err, nil, nil)
		},
	}
}

// seismic, framing

func seismicForce() *Calculator {
	return &Calculator{
		Name: "seismic-force", Gives: "horizontal seismic force on an array fixed to a building, strength level", Source: "ASCE 7-16 and 7-22 section 13.3.1",
		Inputs: []Input{
			number("sds", "design spectral acceleration SDS, g").from("0", "5"), amount("weight", "weight of the array", quantity.Force).from("1 lb", "1000000 lb"), number("importance", "component importance factor Ip").from("0.8", "1.5"), number("height-ratio", "z/h of the place of attachment; above the roof counts as at it").from("0", "2"),
			without(number("ap", "7-16: amplification factor").from("1", "2.5"), "that used for arrays"), without(number("rp", "7-16: response factor").from("1", "12"), "that used for arrays"),
			without(number("hf", "7-22: height factor").from("1", "3.5"), "from z/h and the period"), without(number("period", "7-22: period Ta of the building, s").from("0.05", "12"), "not known"), without(number("rmu", "7-22: ductility reduction factor").from("1", "3"), "that of a structure that is not known"),
			without(number("car", "7-22: resonance ductility factor").from("1", "4"), "that used for arrays"), without(number("rpo", "7-22: strength factor").from("1", "3"), "that used for arrays"),
			optional(amount("slope", "slope of the roof, for what a foot of this weight has to hold", quantity.Angle).from("0 deg", "60 deg"), "0 deg"), asceEdition(),
		},
		Outputs: []Output{{"force", "horizontal force", "lb"}, {"minimum", "least force", "lb"}, {"maximum", "greatest force needed", "lb"}, {"vertical", "vertical force, either way", "lb"}, {"height-factor", "7-22: Hf", ""},
			{"along", "what a foot of this weight has to hold along the roof, allowable level", "lb"}, {"uplift", "net uplift off the roof, allowable level; below zero the weight holds", "lb"}},
		Example: []string{"sds=1.0", "weight=1000 lb", "importance=1", "height-ratio=1", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			s := structural.NewSeismic(a.Num("sds"), a.Num("weight"), a.Num("importance"), a.Num("height-ratio"))
			s.Amplification, s.Response = a.Num("ap"), a.Num("rp")
			s.HeightFactor, s.Period, s.Ductility, s.Resonance, s.Strength = a.Num("hf"), a.Num("period"), a.Num("rmu"), a.Num("car"), a.Num("rpo")
			f, err := w.SeismicForce(s)
			r := &Result{}
			r.Set("force", in("lb", f.Force))
			r.Set("minimum", in("lb", f.Minimum))
			r.Set("maximum", in("lb", f.Maximum))
			r.Set("vertical", in("lb", f.Vertical))
			if !math.IsNaN(f.HeightFactor) {
				r.Set("height-factor", f.HeightFactor)
			}
			foot := f.OnFoot(a.Num("slope"))
			r.Set("along", in("lb", foot.Along))
			r.Set("uplift", in("lb", foot.Uplift))
			return finish(r, err, append(f.Work(a.system), f.FootWork(a.Num("slope"))(a.system)...), f.Refs)
		}),
	}
}

func ballastWeight() *Calculator {
	return &Calculator{
		Name: "ballast", Gives: "ballast that holds a module down and in place in the wind", Source: "ASCE 7 section 2.4, statics",
		Inputs: []Input{
			amount("uplift", "uplift on the module, normal to the roof, allowable level", quantity.Force).from("0 lb", "5000 lb"), amount("drag", "wind along the roof on the module, allowable level", quantity.Force).from("0 lb", "5000 lb"),
			amount("weight", "weight of module and mounting, without ballast", quantity.Force).from("1 lb", "2000 lb"), without(number("friction", "coefficient of friction on the roof, by test").from("0.05", "2"), "sliding is not answered"),
			optional(amount("slope", "slope of the roof", quantity.Angle).from("0 deg", "10 deg"), "0 deg"), asceEdition(),
		},
		Outputs: []Output{{"against-uplift", "ballast that holds it down", "lb"}, {"against-sliding", "ballast that holds it in place", "lb"}, {"needed", "the greater of both", "lb"}},
		Example: []string{"uplift=150 lb", "drag=40 lb", "weight=55 lb", "friction=0.5", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			n, err := w.BallastNeed(structural.BallastLoad{Uplift: a.Num("uplift"), Drag: a.Num("drag"), Slope: a.Num("slope"), Friction: a.Num("friction")})
			r := &Result{}
			ballast := func(weight float64) float64 { return in("lb", math.Max(0, weight-a.Num("weight"))) }
			r.Set("against-uplift", ballast(n.ForUplift))
			needed := n.ForUplift
			if a.Has("friction") {
				r.Set("against-sliding", ballast(n.ForSliding))
				needed = math.Max(needed, n.ForSliding)
			}
			r.Set("needed", ballast(needed))
			return finish(r, err, n.Work(a.system), n.Refs)
		}),
	}
}

func ballastDisplacement() *Calculator {
	return &Calculator{
		Name: "ballast-displacement", Gives: "how far an array held by its weight slides in an earthquake, and the room that it needs", Source: "ASCE 7-16 and 7-22 section 13.6.12",
		Inputs:  []Input{number("sds", "design spectral acceleration SDS, g").from("0", "5"), choice("risk", "risk category of the building", "I", "II", "III", "IV"), asceEdition()},
		Outputs: []Output{{"displacement", "displacement to design for", "in"}, {"array", "room to another such array", "in"}, {"fixed", "room to what is fixed, and to an edge with a parapet", "in"}, {"edge", "room to an edge without a parapet", "in"}},
		Example: []string{"sds=1.05", "risk=II", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			importance, _, refs, err := w.Importance(a.Text("risk"))
			if err != nil {
				return nil, fault(err)
			}
			d, err := w.Displacement(a.Num("sds"), importance)
			r := &Result{}
			r.Set("displacement", in("in", d.Distance))
			r.Set("array", in("in", d.Array))
			r.Set("fixed", in("in", d.Fixed))
			r.Set("edge", in("in", d.Edge))
			return finish(r, err, d.Work(a.system), append(d.Refs, refs...))
		}),
	}
}

func deckThickness() *Calculator {
	return &Calculator{
		Name: "deck-thickness", Gives: "thickness of steel deck, sheet or framing by gage or mils", Source: "ANSI/SDI RD-2017 (deck); manufacturers' standard gauge (sheet); AISI S240 (mils)",
		Inputs:  []Input{free("gage", "gage, or mils of framing"), optional(choice("kind", "what it is: galvanized counts the bare steel", "deck", "uncoated", "galvanized", "mils"), "deck")},
		Outputs: []Output{{"design", "design thickness of the base steel", "in"}, {"minimum", "least thickness delivered", "in"}, {"coated", "thickness with zinc", "in"}},
		Example: []string{"gage=22"},
		Run: withAISI(func(a *Args, s *structural.AISI) (*Result, error) {
			read := map[string]func(string) (structural.Thickness, error){"deck": s.DeckThickness, "uncoated": s.SheetThickness, "galvanized": s.SheetThickness, "mils": s.FramingThickness}
			t, err := read[a.Text("kind")](a.Text("gage"))
			r := &Result{}
			r.Set("design", in("in", t.Design))
			r.Set("minimum", in("in", t.Minimum))
			if a.Text("kind") == "galvanized" && !math.IsNaN(t.Coated) {
				r.Set("coated", in("in", t.Coated))
			}
			r.Workf("design %.4f in, least delivered %.4f in", in("in", t.Design), in("in", t.Minimum))
			return finish(r, err, nil, t.Refs)
		}),
	}
}

func thermalMovement() *Calculator {
	return &Calculator{
		Name: "thermal-movement", Gives: "change of length of a rail or row over a temperature change", Source: "linear expansion; coefficients of the handbooks",
		Inputs: []Input{amount("length", "free length", quantity.Length).from("0.5 ft", "2000 ft"), amount("change", "temperature change", quantity.TemperatureDifference).from("1 degC", "250 degC"),
			without(choice("material", "material, in place of a coefficient", "aluminum", "steel", "stainless", "glass", "wood"), "coefficient is given"), without(amount("coefficient", "coefficient of expansion, in place of a material", quantity.RatioPerTemperature).from("0.0001 %/degC", "0.01 %/degC"), "material is given")},
		Outputs: []Output{{"movement", "change of length", "in"}},
		Example: []string{"length=40 ft", "change=100 degF", "material=aluminum"},
		Run: func(a *Args, tables *table.Set) (*Result, error) {
			if a.Has("material") == a.Has("coefficient") {
				return nil, Faultf("give either material or coefficient")
			}
			p, err := structural.NewPractice(tables)
			if err != nil {
				return nil, fault(err)
			}
			r := &Result{}
			c := a.Num("coefficient")
			if a.Has("material") {
				var ref table.Ref
				if c, ref, err = p.ThermalCoefficient(a.Text("material")); err != nil {
					return nil, fault(err)
				}
				r.cite([]table.Ref{ref})
			}
			m, err := structural.ThermalMovement(a.Num("length"), a.Num("change"), c)
			r.Set("movement", in("in", m))
			return finish(r, err, structural.MovementWork(a.Num("length"), a.Num("change"), c, m, a.system), nil)
		},
	}
}

func loadIncrease() *Calculator {
	return &Calculator{
		Name: "load-increase", Gives: "change of load against the screen of existing buildings", Source: "screens of the existing-building codes: gravity and lateral; not meeting one is a question for a licensed engineer",
		Inputs: []Input{amount("existing", "existing load per area", quantity.Pressure).from("1 psf", "500 psf"), amount("added", "added load per area", quantity.Pressure).from("0 psf", "500 psf"),
			optional(amount("removed", "load per area that is taken away, such as roof live load under modules", quantity.Pressure), "0 psf").from("0 psf", "500 psf"), optional(choice("kind", "kind of load", "gravity", "lateral"), "gravity")},
		Outputs: []Output{{"increase", "change over existing", "%"}, {"limit", "screen", "%"}, {"met", "whether the screen is met", ""}},
		Example: []string{"existing=30 psf", "added=3 psf"},
		Run: func(a *Args, tables *table.Set) (*Result, error) {
			p, err := structural.NewPractice(tables)
			if err != nil {
				return nil, fault(err)
			}
			screen := p.GravityIncrease
			if a.Text("kind") == "lateral" {
				screen = p.LateralIncrease
			}
			l, err := screen(a.Num("existing"), a.Num("added")-a.Num("removed"))
			r := &Result{}
			r.Set("increase", 100*l.Share)
			r.Set("limit", 100*l.Screen)
			r.Set("met", l.Met)
			return finish(r, err, l.Work(), l.Refs)
		},
	}
}

func lumberEdition() Input {
	return optional(choice("nds", "edition of the NDS", "2015", "2018", "2024"), "2018")
}

func withSawn(run func(a *Args, n *structural.Sawn, tables *table.Set) (*Result, error)) func(*Args, *table.Set) (*Result, error) {
	return func(a *Args, tables *table.Set) (*Result, error) {
		n, err := structural.NewSawn(a.Text("nds"), tables)
		if err != nil {
			return nil, fault(err)
		}
		return run(a, n, tables)
	}
}

func speciesInputs() []Input {
	return []Input{choice("species", "species combination", "douglas fir-larch", "hem-fir", "spruce-pine-fir", "spruce-pine-fir (south)", "southern pine"),
		choice("grade", "grade", "select structural", "no. 1 and better", "no. 1", "no. 2", "no. 3")}
}

func lumberStrength() *Calculator {
	return &Calculator{
		Name: "lumber-bending", Gives: "bending and shear that a member of sawn lumber holds", Source: "NDS chapters 3 and 4 with Supplement Tables 4A and 4B",
		Inputs: append(speciesInputs(), amount("width", "face that takes the load: 1.5 in on edge, the wide face when it lies flat", quantity.Length).from("0.5 in", "16 in"), amount("depth", "size at a right angle to it", quantity.Length).from("0.5 in", "16 in"),
			optional(choice("load", "load of the shortest duration", "permanent", "normal", "snow", "roof-live", "wind", "seismic"), "normal"), optional(flag("repetitive", "whether a deck joins at least three, no more than 24 in apart"), "no"), optional(flag("wet", "whether it is wet in service"), "no"),
			optional(amount("unbraced", "length of the edge in compression that nothing holds", quantity.Length), "0 ft").from("0 ft", "60 ft"), optional(flag("even", "whether the load is spread evenly over the span"), "no"), lumberEdition()),
		Outputs: []Output{{"bending-stress", "adjusted Fb'", "psi"}, {"shear-stress", "adjusted Fv'", "psi"}, {"modulus", "adjusted E'", "psi"}, {"stability", "CL", ""}, {"moment", "allowable moment", "lb-ft"}, {"shear", "allowable shear", "lb"}},
		Example: []string{"species=douglas fir-larch", "grade=no. 2", "width=1.5 in", "depth=7.25 in", "load=snow", "repetitive=yes"},
		Run: withSawn(func(a *Args, n *structural.Sawn, _ *table.Set) (*Result, error) {
			b, err := n.Bending(structural.Lumber{Species: a.Text("species"), Grade: a.Text("grade"), Width: a.Num("width"), Depth: a.Num("depth"), Wet: a.Flag("wet"), Repetitive: a.Flag("repetitive"), Even: a.Flag("even")}, n.Duration(a.Text("load")), a.Num("unbraced"))
			r := &Result{}
			r.Set("bending-stress", in("psi", b.Fb))
			r.Set("shear-stress", in("psi", b.Fv))
			r.Set("modulus", in("psi", b.E))
			r.Set("stability", b.CL)
			r.Set("moment", in("lb-ft", b.Moment))
			r.Set("shear", in("lb", b.Shear))
			return finish(r, err, b.Work(a.system), b.Refs)
		}),
	}
}

func loadedMember() *Calculator {
	return &Calculator{
		Name: "member", Gives: "moment, shear and reactions of a purlin or rafter under feet and line load", Source: "statics of beams: simple spans, or one member over all supports (equation of three moments)",
		Inputs: []Input{optional(amount("uniform", "line load; below zero away from the roof", quantity.ForcePerLength), "0 lb/ft").from("-2000 lb/ft", "2000 lb/ft"),
			without(amount("uniform-from", "where the line load begins", quantity.Length).from("0 ft", "500 ft"), "the first support"), without(amount("uniform-to", "where it ends", quantity.Length).from("0 ft", "500 ft"), "the last support"),
			listOf(without(amount("forces", "forces of the feet; below zero away from the roof", quantity.Force).from("-20000 lb", "20000 lb"), "no feet")), listOf(without(amount("places", "their places along the member", quantity.Length).from("0 ft", "500 ft"), "no feet")),
			listOf(amount("supports", "places of its supports", quantity.Length).from("0 ft", "500 ft")), optional(flag("continuous", "whether it runs over its supports as one"), "no"),
			optional(amount("width", "face of a solid member that takes the load", quantity.Length), "1.5 in").from("0.5 in", "24 in"), optional(amount("depth", "its size at a right angle to that", quantity.Length), "5.5 in").from("0.5 in", "48 in"), optional(amount("modulus", "its modulus of elasticity", quantity.Pressure), "1400000 psi").from("200000 psi", "40000000 psi")},
		Outputs: []Output{{"sagging", "largest moment that pulls at the lower edge", "lb-ft"}, {"hogging", "largest moment that pulls at the upper edge", "lb-ft"}, {"shear", "largest shear", "lb"}, {"reaction", "largest reaction of a support", "lb"}, {"pull", "largest pull away from a support", "lb"}, {"stress", "bending stress of a solid member", "psi"}, {"deflection", "deflection of it at the middle of a simple span", "in"}},
		Example: []string{"forces=200 lb,200 lb", "places=3 ft,7 ft", "uniform=10 lb/ft", "supports=0 ft,10 ft"},
		Run: func(a *Args, _ *table.Set) (*Result, error) {
			forces, places, supports := a.Nums("forces"), a.Nums("places"), a.Nums("supports")
			if len(forces) != len(places) {
				return nil, Faultf("%d forces at %d places", len(forces), len(places))
			}
			var l structural.Loaded
			for i, f := range forces {
				l.Points = append(l.Points, structural.PointLoad{At: places[i], Force: f})
			}
			w := structural.LineLoad{From: slices.Min(supports), To: slices.Max(supports), Force: a.Num("uniform")}
			if a.Has("uniform-from") {
				w.From = a.Num("uniform-from")
			}
			if a.Has("uniform-to") {
				w.To = a.Num("uniform-to")
			}
			l.Lines = []structural.LineLoad{w}
			e, err := l.OnSupports(supports, a.Flag("continuous"))
			r := &Result{}
			r.Set("sagging", in("lb-ft", e.Sagging))
			r.Set("hogging", in("lb-ft", e.Hogging))
			r.Set("shear", in("lb", e.Shear))
			r.Set("reaction", in("lb", e.Down))
			r.Set("pull", in("lb", e.Up))
			solid := structural.Lumber{Width: a.Num("width"), Depth: a.Num("depth")}
			r.Set("stress", in("psi", max(e.Sagging, e.Hogging)/solid.SectionModulus()))
			r.Set("deflection", in("in", e.Deflection/(a.Num("modulus")*solid.Inertia())))
			r.Workf("%d feet and %s from %s to %s on %d supports", len(forces), quantity.Of(w.Force, quantity.ForcePerLength).Format(a.system), quantity.Of(w.From, quantity.Length).Format(a.system), quantity.Of(w.To, quantity.Length).Format(a.system), len(supports))
			r.Cite = append(r.Cite, "statics of beams")
			return finish(r, err, nil, nil)
		},
	}
}

func rafterSpan() *Calculator {
	return &Calculator{
		Name: "rafter-span", Gives: "largest span of a rafter by the method of the span tables", Source: "IRC Tables R802.4.1 (R802.5.1 in 2012 and 2015); computed from design values, as the tables were",
		Inputs: append(speciesInputs(), amount("width", "thickness", quantity.Length).from("1 in", "4 in"), amount("depth", "depth", quantity.Length).from("2 in", "16 in"), amount("spacing", "spacing of the rafters", quantity.Length).from("6 in", "48 in"),
			amount("dead", "dead load", quantity.Pressure).from("1 psf", "100 psf"), optional(amount("live", "roof live load", quantity.Pressure), "20 psf").from("0 psf", "100 psf"), optional(amount("snow", "ground snow load", quantity.Pressure), "0 psf").from("0 psf", "400 psf"), optional(flag("ceiling", "whether a ceiling is attached to the rafters"), "no"),
			optional(choice("irc", "edition of the IRC", "2012", "2015", "2018", "2021", "2024"), "2021"), lumberEdition()),
		Outputs: []Output{{"span", "largest span on the plan", "ft"}, {"governs", "what governs it", ""}},
		Example: []string{"species=spruce-pine-fir", "grade=no. 2", "width=1.5 in", "depth=5.5 in", "spacing=16 in", "dead=10 psf"},
		Run: withSawn(func(a *Args, n *structural.Sawn, tables *table.Set) (*Result, error) {
			t, err := structural.NewRafterTable(a.Text("irc"), tables)
			if err != nil {
				return nil, fault(err)
			}
			s, err := t.Span(n, structural.Lumber{Species: a.Text("species"), Grade: a.Text("grade"), Width: a.Num("width"), Depth: a.Num("depth")}, a.Num("spacing"), a.Num("dead"), a.Num("live"), a.Num("snow"), a.Flag("ceiling"))
			r := &Result{}
			r.Set("span", in("ft", s.Span))
			r.Set("governs", s.Governs)
			return finish(r, err, s.Work(a.system), s.Refs)
		}),
	}
}
