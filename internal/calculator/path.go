package calculator

import (
	"fmt"

	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
)

func continuousBeam() *Calculator {
	place := func(name, meaning string) Input {
		return amount(name, meaning+" in m or ft from the left end", quantity.Length).from("0 ft", "2000 ft")
	}
	return &Calculator{
		Name: "continuous-beam", Gives: "reactions of a rail or another beam that runs over several supports without a joint", Source: "theorem of three moments; one section throughout, level supports that hold both ways",
		Inputs: []Input{
			listOf(amount("spans", "spans from the left, parted by commas", quantity.Length).from("1 in", "500 ft")),
			optional(amount("left", "overhang at the left end", quantity.Length).from("0 ft", "200 ft"), "0 ft"), optional(amount("right", "overhang at the right end", quantity.Length).from("0 ft", "200 ft"), "0 ft"),
			without(listOf(amount("even", "even loads, parted by commas", quantity.ForcePerLength).from("0 lb/ft", "1e6 lb/ft")), "none"),
			without(listOf(place("even-from", "where each even load begins,")), "one even load, over the whole beam"), without(listOf(place("even-to", "where each even load ends,")), "one even load, over the whole beam"),
			without(listOf(amount("points", "point loads, parted by commas", quantity.Force).from("0 lb", "1e7 lb")), "none"), without(listOf(place("points-at", "where each point load stands,")), "no point load"),
			optional(count("support", "the support that is asked for, from the left").from("1", "1000"), "1"),
		},
		Outputs: []Output{
			{"reaction", "reaction of that support; negative where it holds down", "lb"}, {"moment", "bending moment over it; negative where the top is in tension", "lb-ft"},
			{"largest", "largest reaction of all supports", "lb"}, {"largest-at", "the support that it is at", ""},
		},
		Example: []string{"spans=4 ft,4 ft,4 ft", "left=1 ft", "right=1 ft", "even=50 lb/ft", "support=2"},
		Run: func(a *Args, _ *table.Set) (*Result, error) {
			beam, err := beamOf(a)
			if err != nil {
				return nil, fault(err)
			}
			f, err := beam.Forces()
			if err != nil {
				return nil, fault(err)
			}
			k := a.Int("support") - 1
			if k < 0 || k >= len(f.Reactions) {
				return nil, fault(fmt.Errorf("the beam has %d supports; there is no support %d", len(f.Reactions), k+1))
			}
			r, most := &Result{}, 0
			for i, v := range f.Reactions {
				if v > f.Reactions[most] {
					most = i
				}
				r.Workf("support %d: reaction %s, moment %s", i+1, shown(a, v, quantity.Force), shown(a, f.Moments[i], quantity.Torque))
			}
			r.Set("reaction", in("lb", f.Reactions[k]))
			r.Set("moment", in("lb-ft", f.Moments[k]))
			r.Set("largest", in("lb", f.Reactions[most]))
			r.Set("largest-at", most+1)
			return finish(r, nil, nil, nil)
		},
	}
}

func shown(a *Args, si float64, d quantity.Dimension) string {
	return quantity.Of(si, d).Format(a.system)
}

func beamOf(a *Args) (structural.ContinuousBeam, error) {
	at := a.Num("left")
	beam := structural.ContinuousBeam{Supports: []float64{at}}
	for _, s := range a.Nums("spans") {
		at += s
		beam.Supports = append(beam.Supports, at)
	}
	end := at + a.Num("right")
	even, from, to := a.Nums("even"), a.Nums("even-from"), a.Nums("even-to")
	if len(even) == 1 && from == nil && to == nil {
		from, to = []float64{0}, []float64{end}
	}
	points, places := a.Nums("points"), a.Nums("points-at")
	if len(from) != len(even) || len(to) != len(even) || len(places) != len(points) {
		return beam, fmt.Errorf("each load needs its places: even-from and even-to, or points-at")
	}
	inside := func(x float64) bool { return structural.Meets(x, end) }
	for i, w := range even {
		if !(from[i] < to[i]) || !inside(to[i]) {
			return beam, fmt.Errorf("even load %d does not lie on the beam", i+1)
		}
		beam.Loads = append(beam.Loads, structural.EvenLoad{From: from[i], To: to[i], Total: w * (to[i] - from[i])})
	}
	for i, p := range points {
		if !inside(places[i]) {
			return beam, fmt.Errorf("point load %d does not stand on the beam", i+1)
		}
		beam.Loads = append(beam.Loads, structural.EvenLoad{From: places[i], To: places[i], Total: p})
	}
	return beam, nil
}

func loadPath() *Calculator {
	pressure := func(name, meaning string) Input {
		return amount(name, meaning, quantity.Pressure).from("0 psf", "800 psf")
	}
	holds := func(name, meaning string, d quantity.Dimension, most string) Input {
		least := "1 lb"
		if d == quantity.Pressure {
			least = "1 psf"
		}
		return without(amount(name, meaning+", allowable level", d).from(least, most), "the part is left out")
	}
	const force, pressed = "100000 lb", "800 psf"
	return &Calculator{
		Name: "load-path", Gives: "what one foot and the parts above it carry, and which of them governs", Source: "ASCE 7 section 2.4; statics",
		Inputs: []Input{
			amount("pressure", "strength-level uplift pressure, negative", quantity.Pressure).from("-400 psf", "0 psf"), optional(pressure("pressure-down", "strength-level pressure onto the roof"), "0 psf"),
			amount("dead", "weight per area on the slope", quantity.Pressure).from("0 psf", "20 psf"), optional(pressure("snow", "sloped roof snow of the edition on the horizontal projection"), "0 psf"),
			amount("slope", "slope of the roof", quantity.Angle).from("0 deg", "60 deg"), amount("tributary", "tributary area of the foot", quantity.Area).from("0.1 ft2", "500 ft2"),
			without(amount("loaded", "area whose load comes onto the foot, by an overhang or a rail over several feet", quantity.Area).from("0.1 ft2", "600 ft2"), "its tributary area"),
			without(amount("clamp-area", "area that one module clamp holds down", quantity.Area).from("0.1 ft2", "100 ft2"), "no clamps"),
			holds("clamp-uplift", "uplift that a clamp holds", quantity.Force, force), holds("clamp-along", "load along the slope that a clamp holds", quantity.Force, force),
			holds("span-uplift", "net uplift pressure that the spans of the rails hold", quantity.Pressure, pressed), holds("span-down", "downward pressure that they hold", quantity.Pressure, pressed),
			holds("foot-uplift", "uplift that the foot with its fasteners holds", quantity.Force, force), holds("foot-down", "downward load that it holds", quantity.Force, force), holds("foot-along", "load along the slope that it holds", quantity.Force, force),
			asceEdition(),
		},
		Outputs: []Output{
			{"uplift", "net uplift of the foot; negative if dead load alone holds it", "lb"}, {"down", "load of the foot into the roof", "lb"}, {"down-by", "combination that governs it", ""}, {"along", "load of the foot along the slope, dead and snow", "lb"},
			{"companion-uplift", "uplift of the foot by wind with snow", "lb"}, {"companion-along", "load along the slope beside it", "lb"},
			{"governs", "part that governs, with the direction; empty where no part is given", ""}, {"utilisation", "share that is taken of what it holds", ""},
		},
		Example: []string{"pressure=-30 psf", "pressure-down=16 psf", "dead=2.8 psf", "snow=20 psf", "slope=18 deg", "tributary=11.5 ft2", "loaded=12.6 ft2", "clamp-area=10.5 ft2", "clamp-uplift=450 lb", "span-uplift=35 psf", "foot-uplift=500 lb", "foot-along=280 lb", "asce=7-16"},
		Run: withASCE(func(a *Args, w *structural.ASCE7) (*Result, error) {
			d, err := w.Combine(structural.Attachment{Tributary: a.Num("tributary"), Loaded: a.numOr("loaded", 0)}, a.Num("pressure"), a.Num("pressure-down"), a.Num("dead"), a.Num("snow"), a.Num("slope"))
			if err != nil {
				return nil, fault(err)
			}
			links := pathLinks(a, d)
			weakest := structural.Weakest(links)
			r := &Result{}
			r.Set("uplift", in("lb", d.UpliftASD))
			r.Set("down", in("lb", d.DownASD))
			r.Set("down-by", w.Combination(d.DownBy))
			r.Set("along", in("lb", d.DownslopeASD))
			r.Set("companion-uplift", in("lb", d.CompanionUplift))
			r.Set("companion-along", in("lb", d.CompanionDownslope))
			name, utilisation := "", 0.0
			if len(links) > 0 {
				name, utilisation = weakest.Name(), weakest.Utilisation()
			}
			r.Set("governs", name)
			r.Set("utilisation", digits(utilisation))
			for _, l := range links {
				r.Workf("%s", l.Work(w, a.system))
			}
			return finish(r, nil, nil, []table.Ref{w.CombinationsRef()})
		}),
	}
}

// pathLinks are the parts of a load path whose capacity is given.
func pathLinks(a *Args, d structural.Demand) (links []structural.Link) {
	loaded := a.numOr("loaded", d.Tributary)
	clamp := a.numOr("clamp-area", 0) / loaded // loads go by area
	add := func(input, part string, direction structural.Direction, demand float64, by structural.Combination, dim quantity.Dimension) {
		if a.Has(input) {
			links = append(links, structural.Link{Part: part, Direction: direction, Demand: demand, By: by, Capacity: a.Num(input), Dimension: dim, Reason: "as given"})
		}
	}
	add("clamp-uplift", structural.ClampPart, structural.Upward, d.UpliftASD*clamp, structural.DeadAgainstWind, quantity.Force)
	add("clamp-along", structural.ClampPart, structural.Along, d.DownslopeASD*clamp, structural.DeadAndSnow, quantity.Force)
	add("span-uplift", structural.RailPart, structural.Upward, d.UpliftASD/loaded, structural.DeadAgainstWind, quantity.Pressure)
	add("span-down", structural.RailPart, structural.Down, d.DownASD/loaded, d.DownBy, quantity.Pressure)
	add("foot-uplift", structural.FootPart, structural.Upward, d.UpliftASD, structural.DeadAgainstWind, quantity.Force)
	add("foot-down", structural.FootPart, structural.Down, d.DownASD, d.DownBy, quantity.Force)
	add("foot-along", structural.FootPart, structural.Along, d.DownslopeASD, structural.DeadAndSnow, quantity.Force)
	return links
}
