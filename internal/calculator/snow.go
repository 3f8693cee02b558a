package calculator

import (
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
)

// snowInputs are what every snow load rests on; snowOf reads them.
func snowInputs() []Input {
	return []Input{
		amount("ground-snow", "ground snow load of the edition's map", quantity.Pressure).from("0 psf", "800 psf"), number("exposure-factor", "Ce").from("0.7", "1.3"), without(number("thermal-factor", "Ct").from("0.8", "1.4"), "that of an unheated or open building"),
		optional(number("importance", "Is, up to 7-16").from("0.8", "1.5"), "1"),
	}
}

func snowOf(a *Args, w *structural.ASCE7) structural.Snow {
	thermal := a.Num("thermal-factor")
	if math.IsNaN(thermal) {
		thermal, _ = w.UnheatedThermal()
	}
	return structural.Snow{Ground: a.Num("ground-snow"), Exposure: a.Num("exposure-factor"), Thermal: thermal, Importance: a.Num("importance"),
		Slope: a.Num("slope"), WinterWind: a.Num("winter-wind")}
}

func winterWind() Input {
	return without(number("winter-wind", "winter wind parameter W2, 7-22 only").from("0.1", "0.9"), "the largest outside Alaska")
}

func roofSlope() Input {
	return amount("slope", "slope of the roof", quantity.Angle).from("0 deg", "60 deg")
}

func roofSnow() *Calculator {
	return &Calculator{
		Name: "roof-snow", Gives: "balanced roof snow load", Source: "ASCE 7-10, 7-16 and 7-22 sections 7.3 and 7.4, load factors of 2.3 and 2.4; ground snow in the level of the edition's own map",
		Inputs: append(snowInputs(), roofSlope(), choice("surface", "surface of the roof down to the eave", "slippery", "other"),
			without(choice("risk", "risk category, for the 7-22 minimum on low slopes and rain on snow", "I", "II", "III", "IV"), "not known, so that neither is given in 7-22"),
			without(amount("run", "eave to ridge in plan, for rain on snow", quantity.Length).from("0.5 ft", "1000 ft"), "rain on snow is not counted"), asceEdition()),
		Outputs: []Output{
			{"flat", "flat roof snow load", "psf"}, {"slope-factor", "Cs", ""}, {"sloped", "sloped roof snow load on the horizontal projection", "psf"},
			{"strength", "sloped load times the strength-level snow factor", "psf"}, {"allowable", "sloped load times the allowable-level snow factor", "psf"},
			{"minimum", "minimum of low slopes, a load case of its own, unfactored", "psf"}, {"rain-on-snow", "surcharge on the sloped load, unfactored", "psf"},
			{"governing-strength", "the greatest of sloped load, rain on snow and minimum, strength level", "psf"}, {"governing-allowable", "the greatest of the three, allowable level", "psf"},
		},
		Example: []string{"ground-snow=30 psf", "exposure-factor=1.0", "thermal-factor=1.1", "slope=26.57 deg", "surface=slippery", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			in7 := snowOf(a, w)
			in7.Risk, in7.Slippery, in7.Run = a.Text("risk"), a.Text("surface") == "slippery", a.Num("run")
			s, err := w.RoofSnow(in7)
			r := &Result{}
			r.Set("flat", in("psf", s.Flat))
			r.Set("slope-factor", s.SlopeFactor)
			r.Set("sloped", in("psf", s.Sloped))
			r.Set("strength", in("psf", s.Strength))
			r.Set("allowable", in("psf", s.Allowable))
			if !math.IsNaN(s.Minimum) {
				r.Set("minimum", in("psf", s.Minimum))
			}
			if a.Has("run") && !math.IsNaN(s.RainOnSnow) {
				r.Set("rain-on-snow", in("psf", s.RainOnSnow))
			}
			if !math.IsNaN(s.Minimum + s.RainOnSnow) {
				r.Set("governing-strength", in("psf", s.GoverningStrength))
				r.Set("governing-allowable", in("psf", s.GoverningAllowable))
			}
			return finish(r, err, s.Work(a.system), s.Refs)
		}),
	}
}

func unbalancedSnow() *Calculator {
	return &Calculator{
		Name: "unbalanced-snow", Gives: "unbalanced snow of a gable or hip roof, unfactored", Source: "ASCE 7-10, 7-16 and 7-22 section 7.6.1; ground snow in the level of the edition's own map",
		Inputs: append(snowInputs(), roofSlope(), amount("run", "eave to ridge in plan of the lee side", quantity.Length).from("0.5 ft", "1000 ft"),
			without(amount("upwind", "eave to ridge in plan of the other side", quantity.Length).from("0.5 ft", "1000 ft"), "that of the lee side"),
			optional(choice("members", "what carries the lee side: simply supported prismatic members from ridge to eave, or anything else", "one-span", "other"), "other"), winterWind(), asceEdition()),
		Outputs: []Output{
			{"windward", "load on the windward side", "psf"}, {"leeward", "even load on the lee side, without the surcharge", "psf"}, {"height", "height of the drift", "ft"},
			{"surcharge", "load on top of it below the ridge", "psf"}, {"reach", "how far the surcharge lies from the ridge in plan", "ft"}, {"even", "even load on a narrow roof whose members span from ridge to eave", "psf"},
		},
		Example: []string{"ground-snow=30 psf", "exposure-factor=1.0", "thermal-factor=1.1", "slope=6:12", "run=30 ft", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			s, err := w.RoofSnow(snowOf(a, w))
			if err != nil {
				return nil, fault(err)
			}
			ridge := structural.Ridge{Run: a.Num("run"), Upwind: a.Num("run"), OneSpan: a.Text("members") == "one-span"}
			if a.Has("upwind") {
				ridge.Upwind = a.Num("upwind")
			}
			u, err := w.UnbalancedSnow(s, ridge)
			r := &Result{}
			r.Set("windward", in("psf", u.Windward))
			r.Set("leeward", in("psf", u.Leeward))
			r.Set("height", in("ft", u.Height))
			r.Set("surcharge", in("psf", u.Surcharge))
			r.Set("reach", in("ft", u.Reach))
			r.Set("even", in("psf", u.Even))
			return finish(r, err, append(s.Work(a.system), u.Work(a.system)...), append(s.Refs, u.Refs...))
		}),
	}
}

func snowDrift() *Calculator {
	return &Calculator{
		Name: "snow-drift", Gives: "snow that drifts at a roof step, wall, parapet or projection, unfactored", Source: "ASCE 7-10, 7-16 and 7-22 sections 7.7.1 and 7.8; ground snow in the level of the edition's own map",
		Inputs: append(snowInputs(), roofSlope(),
			without(amount("rise", "height of the step over the roof", quantity.Length).from("0 ft", "1000 ft"), "so high that it cuts no drift off"),
			without(amount("upper", "length of the higher roof upwind", quantity.Length).from("0.5 ft", "5000 ft"), "a parapet or projection, which has no roof above"),
			amount("lower", "length of the lower roof upwind of the step", quantity.Length).from("0.5 ft", "5000 ft"), winterWind(), asceEdition()),
		Outputs: []Output{
			{"base", "height of the balanced snow", "ft"}, {"leeward-height", "height of the drift in the lee of the higher roof", "ft"}, {"leeward-width", "its width", "ft"}, {"leeward-peak", "its load at the step", "psf"},
			{"windward-height", "height of the drift against the step", "ft"}, {"windward-width", "its width", "ft"}, {"windward-peak", "its load at the step", "psf"},
			{"total", "the larger of both with the balanced snow below, at the step", "psf"},
		},
		Example: []string{"ground-snow=30 psf", "exposure-factor=1.0", "thermal-factor=1.0", "slope=0 deg", "upper=100 ft", "lower=50 ft", "rise=10 ft", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			s, err := w.RoofSnow(snowOf(a, w))
			if err != nil {
				return nil, fault(err)
			}
			step := structural.Step{Rise: math.Inf(1), Lower: a.Num("lower")}
			if a.Has("rise") {
				step.Rise = a.Num("rise")
			}
			if a.Has("upper") {
				step.Upper = a.Num("upper")
			}
			d, err := w.SnowDrift(s, step)
			r := &Result{}
			r.Set("base", in("ft", d.Base))
			r.Set("leeward-height", in("ft", d.Leeward.Height))
			r.Set("leeward-width", in("ft", d.Leeward.Width))
			r.Set("leeward-peak", in("psf", d.Leeward.Peak))
			r.Set("windward-height", in("ft", d.Windward.Height))
			r.Set("windward-width", in("ft", d.Windward.Width))
			r.Set("windward-peak", in("psf", d.Windward.Peak))
			r.Set("total", in("psf", s.Sloped+d.Between(0, 0)))
			return finish(r, err, append(s.Work(a.system), d.Work(a.system)...), append(s.Refs, d.Refs...))
		}),
	}
}

func slidingSnow() *Calculator {
	return &Calculator{
		Name: "sliding-snow", Gives: "snow that slides onto a lower roof, unfactored and on top of its balanced snow", Source: "ASCE 7-10, 7-16 and 7-22 section 7.9; ground snow in the level of the edition's own map",
		Inputs: append(snowInputs(), amount("slope", "slope of the higher roof", quantity.Angle).from("0 deg", "60 deg"), amount("run", "eave to ridge in plan of the higher roof", quantity.Length).from("0.5 ft", "1000 ft"),
			choice("surface", "surface of the higher roof", "slippery", "other"), asceEdition()),
		Outputs: []Output{{"line", "load per length of eave", "lb/ft"}, {"pressure", "load on the lower roof", "psf"}, {"width", "how far it lies from the higher eave in plan", "ft"}},
		Example: []string{"ground-snow=30 psf", "exposure-factor=1.0", "thermal-factor=1.0", "slope=6:12", "run=20 ft", "surface=slippery", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			s, err := w.RoofSnow(snowOf(a, w))
			if err != nil {
				return nil, fault(err)
			}
			x, err := w.SlidingSnow(s, a.Num("slope"), a.Num("run"), a.Text("surface") == "slippery")
			r := &Result{}
			r.Set("line", in("lb/ft", x.Line))
			r.Set("pressure", in("psf", x.Pressure))
			r.Set("width", in("ft", x.Width))
			return finish(r, err, s.Work(a.system), append(s.Refs, x.Refs...))
		}),
	}
}

func snowThermal() *Calculator {
	return &Calculator{
		Name: "snow-thermal", Gives: "thermal factor Ct of a heated structure with an unventilated roof", Source: "ASCE 7-22 Table 7.3-3; earlier editions give it by the use of the building",
		Inputs: []Input{amount("ground-snow", "ground snow load of the edition's map", quantity.Pressure).from("0 psf", "800 psf"), number("resistance", "thermal resistance of the roof, h ft2 degF / Btu").from("1", "50"),
			choice("asce", "edition of ASCE/SEI 7", "7-22")},
		Outputs: []Output{{"factor", "Ct", ""}},
		Example: []string{"ground-snow=30 psf", "resistance=30", "asce=7-22"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			ct, refs, ok := w.SnowThermal(a.Num("ground-snow"), a.Num("resistance"))
			if !ok {
				return nil, Faultf("asce: the edition has no such table")
			}
			r := &Result{}
			r.Set("factor", ct)
			r.Workf("Ct = %.3f by ground snow of %s and a resistance of %g, interpolated", ct, quantity.Of(a.Num("ground-snow"), quantity.Pressure).Format(a.system), a.Num("resistance"))
			return finish(r, nil, nil, refs)
		}),
	}
}
