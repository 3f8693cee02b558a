package structural

import (
	"errors"
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// NDS is one edition of the National Design Specification for Wood
// Construction as far as the fastening of arrays needs it. It is built once
// and safe for concurrent use.
type NDS struct {
	Edition string

	lag, screw             withdrawalEquation
	gravityLow, gravityTop float64
	lagThin, lagThick      float64
	placement              struct{ edge, end, spacing float64 }
	lags                   []lagSize
	thread                 struct{ share, extra, cap float64 }
	duration               *table.Table
	service                serviceFactors
	yield                  yieldFactors
	species, screws        *table.Table
	refs                   map[string]table.Ref
}

// withdrawalEquation is W = coefficient x G^gravity x (D in inches)^diameter.
type withdrawalEquation struct{ coefficient, gravity, diameter float64 }

func (e withdrawalEquation) at(gravity, diameter float64) float64 {
	return e.coefficient * math.Pow(gravity, e.gravity) * math.Pow(diameter/quantity.Inch, e.diameter)
}

type lagSize struct {
	name                       string
	diameter, root, tip, yield float64
	ref                        table.Ref
}

type serviceFactors struct {
	wetWithdrawal, wetLateral, endGrainWithdrawal, endGrainLateral float64
	warm, hot, limit                                               float64 // degC
	warmDry, hotDry, warmWet, hotWet                               float64
}

type yieldFactors struct {
	parallel, perpendicular, gravity           float64
	sheet, plate, plateThickness               float64
	one, two, three, across                    float64
	smallBelow, smallLeast, smallLeastDiameter float64
	smallSlope, smallBase                      float64
	penetrationLeast, penetrationFull          float64
}

// NewNDS reads an edition ("2015", "2018", "2024") from the tables.
func NewNDS(edition string, tables *table.Set) (*NDS, error) {
	s := &source{set: tables, code: "NDS", edition: edition}
	if _, err := tables.Get(s.code, edition, "withdrawal"); err != nil {
		return nil, err
	}
	n := &NDS{Edition: edition, refs: map[string]table.Ref{}}
	factors := func(name string) func(string) float64 {
		t := s.table(name)
		n.refs[name] = t.Ref("")
		return func(key string) float64 { return s.factor(t, key) }
	}
	f := factors("withdrawal")
	n.lag = withdrawalEquation{f("lag-coefficient"), f("lag-gravity"), f("lag-diameter")}
	n.screw = withdrawalEquation{f("wood-screw-coefficient"), f("wood-screw-gravity"), f("wood-screw-diameter")}
	n.gravityLow, n.gravityTop = f("gravity-least"), f("gravity-most")
	n.lagThin, n.lagThick = f("lag-least"), f("lag-most")
	n.refs["wood-screw"] = s.table("withdrawal").Ref("wood-screw-coefficient")
	t := s.table("lag-dimensions")
	for _, r := range t.Rows {
		n.lags = append(n.lags, lagSize{r.Key, s.cell(t, r.Key, "diameter"), s.cell(t, r.Key, "root"), s.cell(t, r.Key, "tip"), s.cell(t, r.Key, "bending-yield"), t.Ref(r.Key)})
	}
	f = factors("lag-thread")
	n.thread.share, n.thread.extra, n.thread.cap = f("share"), f("extra"), f("cap")
	f = factors("lag-placement")
	n.placement.edge, n.placement.end, n.placement.spacing = f("edge"), f("end"), f("spacing")
	f = factors("service")
	n.service = serviceFactors{f("wet-withdrawal"), f("wet-lateral"), f("end-grain-withdrawal"), f("end-grain-lateral"),
		f("warm"), f("hot"), f("limit"), f("warm-dry"), f("hot-dry"), f("warm-wet"), f("hot-wet")}
	f = factors("yield")
	n.yield = yieldFactors{f("bearing-parallel"), f("bearing-perpendicular"), f("bearing-gravity"), f("sheet-bearing"), f("plate-bearing"), f("plate-thickness"),
		f("reduction-bearing"), f("reduction-two"), f("reduction-three"), f("reduction-perpendicular"), f("small-diameter"), f("small-least"), f("small-least-diameter"),
		f("small-slope"), f("small-base"), f("penetration-least"), f("penetration-full")}
	n.duration, n.species, n.screws = s.table("duration"), s.table("specific-gravity"), s.table("wood-screws")
	return n, s.err()
}

// Duration gives CD of a load: permanent, normal, snow, roof-live, wind,
// seismic.
func (n *NDS) Duration(load string) (float64, bool) { return n.duration.Number(load, "factor") }

// SpecificGravity gives the assigned specific gravity of a species
// combination by its usual name in lower case.
func (n *NDS) SpecificGravity(species string) (float64, bool) {
	return n.species.Number(species, "gravity")
}

// WoodScrewDiameter gives the diameter of a numbered wood screw in m.
func (n *NDS) WoodScrewDiameter(number string) (float64, bool) {
	return n.screws.Quantity(number, "diameter")
}

// Conditions adjust a connection value. The zero value is normal duration,
// dry, at usual temperature, in side grain.
type Conditions struct {
	Duration    float64 // CD; 0 is normal duration
	Wet         bool
	Temperature float64 // Ct itself; 0 is 1. See TemperatureFactor
	EndGrain    bool
}

// Adjustment is the product of the factors with its parts.
type Adjustment struct{ CD, CM, Ct, Ceg, Product float64 }

func (a Adjustment) String() string {
	return fmt.Sprintf("CD %.2f x CM %.2f x Ct %.2f x Ceg %.2f", a.CD, a.CM, a.Ct, a.Ceg)
}

// TemperatureFactor gives Ct of a sustained temperature in degC (11.3.4).
func (n *NDS) TemperatureFactor(temperature float64, wet bool) (float64, error) {
	s := n.service
	pick := func(dry, moist float64) float64 {
		if wet {
			return moist
		}
		return dry
	}
	switch {
	case Meets(temperature, s.warm):
		return 1, nil
	case Meets(temperature, s.hot):
		return pick(s.warmDry, s.warmWet), nil
	case Meets(temperature, s.limit):
		return pick(s.hotDry, s.hotWet), nil
	}
	return 0, fmt.Errorf("temperature %.1f degC is above %.1f degC, the top of the factors", temperature, s.limit)
}

func (n *NDS) adjust(c Conditions, wet, endGrain float64) (Adjustment, error) {
	a := Adjustment{CD: c.Duration, CM: 1, Ct: c.Temperature, Ceg: 1}
	if a.CD == 0 {
		a.CD = 1
	}
	if a.Ct == 0 {
		a.Ct = 1
	}
	least, _ := n.Duration("permanent")
	most, _ := n.Duration("wind")
	if err := errors.Join(within("duration factor", a.CD, least, most), within("temperature factor", a.Ct, n.service.hotWet, 1)); err != nil {
		return a, err
	}
	if c.Wet {
		a.CM = wet
	}
	if c.EndGrain {
		a.Ceg = endGrain
	}
	a.Product = a.CD * a.CM * a.Ct * a.Ceg
	return a, nil
}

// lagOf finds the dimensions of a lag screw by its diameter in m.
func (n *NDS) lagOf(diameter float64) (lagSize, error) {
	for _, l := range n.lags {
		if math.Abs(l.diameter-diameter) < 1e-6 {
			return l, nil
		}
	}
	return lagSize{}, fmt.Errorf("no lag screw of %.4g in in the dimension table", diameter/quantity.Inch)
}

// Thread is the effective thread of a lag screw in the main member, m.
type Thread struct {
	Length, Plate, Sheathing float64
	Full                     float64 // thread of the screw with its tip
	Tip                      float64
	InMember                 float64 // length of screw in the member, tip counted
	Effective                float64 // thread in the member, tip not counted
	Refs                     []table.Ref
}

// LagThread finds the effective thread of a lag screw of a length under the
// head that passes a plate (foot, flashing, covering) and sheathing first. The
// screw is taken to have the least thread of the standard.
func (n *NDS) LagThread(diameter, length, plate, sheathing float64) (Thread, error) {
	l, err := n.lagOf(diameter)
	if err != nil {
		return Thread{}, err
	}
	if err := errors.Join(positive("length", length), notNegative("plate", plate, "sheathing", sheathing)); err != nil {
		return Thread{}, err
	}
	t := Thread{Length: length, Plate: plate, Sheathing: sheathing, Tip: l.tip, InMember: length - plate - sheathing,
		Full: math.Min(math.Min(n.thread.cap, n.thread.share*length+n.thread.extra), length), Refs: []table.Ref{l.ref, n.refs["lag-thread"]}}
	t.Effective = math.Min(t.Full, t.InMember) - t.Tip
	if !(t.Effective > 0) {
		return t, fmt.Errorf("no thread is left in the member: %.3g in of screw pass plate and sheathing, the tip takes %.3g in", (length-t.InMember)/quantity.Inch, t.Tip/quantity.Inch)
	}
	return t, nil
}

// Work gives the calculation with numbers put in.
func (t Thread) Work(sys quantity.System) []string {
	l := func(v float64) string { return show(sys, v, quantity.Length) }
	return []string{fmt.Sprintf("thread in the member: the lesser of %s (thread of a screw of %s) and %s (past plate %s and sheathing %s), less the tip %s = %s",
		l(t.Full), l(t.Length), l(t.InMember), l(t.Plate), l(t.Sheathing), l(t.Tip), l(t.Effective))}
}

// Placement is how far a lag screw in withdrawal stands from the edges and the
// end of its member and from the next one, at least, m.
type Placement struct {
	Edge, End, Spacing float64
	Refs               []table.Ref
}

// LagPlacement gives the least distances for lag screws loaded in withdrawal.
func (n *NDS) LagPlacement(diameter float64) (Placement, error) {
	if err := positive("diameter", diameter); err != nil {
		return Placement{}, err
	}
	return Placement{n.placement.edge * diameter, n.placement.end * diameter, n.placement.spacing * diameter, []table.Ref{n.refs["lag-placement"]}}, nil
}

// Withdrawal is the withdrawal value of fasteners in side grain.
type Withdrawal struct {
	Gravity, Diameter, Thread float64
	Count                     int
	Reference                 float64 // W, N/m of thread
	Adjustment                Adjustment
	Each, Allowable           float64 // N, of one and of all
	Refs                      []table.Ref
}

// LagWithdrawal computes 12.2.1: W per length of thread, times the thread in
// the main member without the tapered tip, times the factors, times the count.
// Diameter and thread in m.
func (n *NDS) LagWithdrawal(gravity, diameter, thread float64, count int, c Conditions) (Withdrawal, error) {
	if err := within("diameter in inches", diameter/quantity.Inch, n.lagThin/quantity.Inch-1e-9, n.lagThick/quantity.Inch+1e-9); err != nil {
		return Withdrawal{}, err
	}
	return n.withdrawal(n.lag, gravity, diameter, thread, count, c, n.service.endGrainWithdrawal, n.refs["withdrawal"])
}

// ScrewWithdrawal computes 12.2.2 for wood screws, which have no withdrawal
// value in end grain.
func (n *NDS) ScrewWithdrawal(gravity, diameter, thread float64, count int, c Conditions) (Withdrawal, error) {
	if c.EndGrain {
		return Withdrawal{}, fmt.Errorf("wood screws have no withdrawal value in end grain")
	}
	return n.withdrawal(n.screw, gravity, diameter, thread, count, c, math.NaN(), n.refs["wood-screw"])
}

func (n *NDS) withdrawal(e withdrawalEquation, gravity, diameter, thread float64, count int, c Conditions, endGrain float64, ref table.Ref) (Withdrawal, error) {
	if err := errors.Join(within("specific gravity", gravity, n.gravityLow, n.gravityTop), positive("diameter", diameter, "thread", thread)); err != nil {
		return Withdrawal{}, err
	}
	if count < 1 {
		return Withdrawal{}, fmt.Errorf("count must be one or more")
	}
	a, err := n.adjust(c, n.service.wetWithdrawal, endGrain)
	if err != nil {
		return Withdrawal{}, err
	}
	w := Withdrawal{Gravity: gravity, Diameter: diameter, Thread: thread, Count: count, Adjustment: a, Reference: e.at(gravity, diameter),
		Refs: []table.Ref{ref, n.duration.Ref(""), n.refs["service"]}}
	w.Each = w.Reference * thread * a.Product
	w.Allowable = w.Each * float64(count)
	return w, nil
}

// Work gives the calculation with numbers put in.
func (w Withdrawal) Work(sys quantity.System) []string {
	return []string{
		fmt.Sprintf("W = %s of thread at G %.2f, diameter %s", show(sys, w.Reference, quantity.ForcePerLength), w.Gravity, show(sys, w.Diameter, quantity.Length)),
		fmt.Sprintf("W' = W x %s x thread %s x %d = %s (allowable level)", w.Adjustment, show(sys, w.Thread, quantity.Length), w.Count, show(sys, w.Allowable, quantity.Force)),
	}
}

// Lateral is the lateral value of one lag screw in single shear with a steel
// side plate, N.
type Lateral struct {
	Gravity, Diameter, Root, Plate, PlateBearing float64
	Penetration, Bearing                         float64 // without the tip; the length that bears, half the tip counted
	Parallel, Perpendicular                      float64
	ParallelMode, PerpendicularMode              string
	Reduction                                    float64 // for penetration under eight diameters
	Adjustment                                   Adjustment
	Refs                                         []table.Ref
}

// SidePlateBearing gives the dowel bearing strength of a steel side plate, Pa,
// by its steel: A653 (sheet, Grade 33), A36, or "" for the one usual at the
// thickness.
func (n *NDS) SidePlateBearing(steel string, thickness float64) (float64, error) {
	switch {
	case steel == "A36", steel == "" && Meets(n.yield.plateThickness, thickness):
		return n.yield.plate, nil
	case steel == "A653", steel == "":
		return n.yield.sheet, nil
	}
	return 0, fmt.Errorf("side plate steel %q is none of A653, A36", steel)
}

// LagLateral computes the yield limit equations of 12.3.1 along and across
// the grain. Penetration is the screw in the member without its tapered tip.
// Under eight diameters the value is reduced in proportion as well; under four
// there is none. Lengths m.
func (n *NDS) LagLateral(gravity, diameter, plate, plateBearing, penetration float64, c Conditions) (Lateral, error) {
	l, err := n.lagOf(diameter)
	if err != nil {
		return Lateral{}, err
	}
	if err := errors.Join(within("specific gravity", gravity, n.gravityLow, n.gravityTop), positive("side plate", plate, "side plate bearing strength", plateBearing, "penetration", penetration)); err != nil {
		return Lateral{}, err
	}
	if least := n.yield.penetrationLeast * diameter; !Meets(least, penetration) {
		return Lateral{}, fmt.Errorf("penetration %.3g in is under %.3g in (four diameters): no lateral value", penetration/quantity.Inch, least/quantity.Inch)
	}
	a, err := n.adjust(c, n.service.wetLateral, n.service.endGrainLateral)
	if err != nil {
		return Lateral{}, err
	}
	r := Lateral{Gravity: gravity, Diameter: diameter, Root: l.root, Plate: plate, PlateBearing: plateBearing, Penetration: penetration, Adjustment: a,
		Bearing: penetration + l.tip/2, Reduction: math.Min(1, penetration/(n.yield.penetrationFull*diameter)), Refs: []table.Ref{n.refs["yield"], l.ref, n.duration.Ref("")}}
	y := n.yield
	along := y.parallel * gravity
	across := y.perpendicular * math.Pow(gravity, y.gravity) / math.Sqrt(diameter/quantity.Inch)
	r.Parallel, r.ParallelMode = n.yieldLimit(l, r, along, 1)
	r.Perpendicular, r.PerpendicularMode = n.yieldLimit(l, r, across, 1+y.across)
	r.Parallel *= r.Reduction * a.Product
	r.Perpendicular *= r.Reduction * a.Product
	return r, nil
}

// yieldLimit is the least of the six yield modes of a single-shear connection
// (Table 12.3.1A) with the root diameter as the dowel.
func (n *NDS) yieldLimit(l lagSize, r Lateral, fem, angle float64) (least float64, mode string) {
	d, lm, ts, fes := l.root, r.Bearing, r.Plate, r.PlateBearing
	one, two, three := n.reductions(d, angle)
	re, rt := fem/fes, lm/ts
	k1 := (math.Sqrt(re+2*re*re*(1+rt+rt*rt)+rt*rt*re*re*re) - re*(1+rt)) / (1 + re)
	k2 := -1 + math.Sqrt(2*(1+re)+2*l.yield*(1+2*re)*d*d/(3*fem*lm*lm))
	k3 := -1 + math.Sqrt(2*(1+re)/re+2*l.yield*(2+re)*d*d/(3*fem*ts*ts))
	modes := []struct {
		name  string
		value float64
	}{
		{"Im", d * lm * fem / one},
		{"Is", d * ts * fes / one},
		{"II", k1 * d * ts * fes / two},
		{"IIIm", k2 * d * lm * fem / ((1 + 2*re) * three)},
		{"IIIs", k3 * d * ts * fem / ((2 + re) * three)},
		{"IV", d * d / three * math.Sqrt(2*fem*l.yield/(3*(1+re)))},
	}
	least = math.Inf(1)
	for _, m := range modes {
		if m.value < least {
			least, mode = m.value, m.name
		}
	}
	return least, mode
}

// reductions gives Rd of the modes (Table 12.3.1B) for a root diameter.
func (n *NDS) reductions(root, angle float64) (one, two, three float64) {
	y := n.yield
	if root >= y.smallBelow {
		return y.one * angle, y.two * angle, y.three * angle
	}
	k := y.smallLeast
	if root > y.smallLeastDiameter {
		k = y.smallSlope*root + y.smallBase
	}
	return k * angle, k * angle, k * angle
}

// Work gives the calculation with numbers put in.
func (r Lateral) Work(sys quantity.System) []string {
	f := func(v float64) string { return show(sys, v, quantity.Force) }
	return []string{
		fmt.Sprintf("root diameter %s, side plate %s, penetration %s: modes %s along and %s across the grain", show(sys, r.Root, quantity.Length), show(sys, r.Plate, quantity.Length), show(sys, r.Penetration, quantity.Length), r.ParallelMode, r.PerpendicularMode),
		fmt.Sprintf("Z' along the grain %s, across %s, with penetration %.2f and %s (allowable level)", f(r.Parallel), f(r.Perpendicular), r.Reduction, r.Adjustment),
	}
}

// Combined is a lag screw under withdrawal and lateral load at once.
type Combined struct {
	Withdrawal, Lateral, WithdrawalDemand, LateralDemand float64
	Angle                                                float64 // of the load from the wood surface, degrees
	Demand, Allowable, Utilisation                       float64
}

// LagCombined computes 12.4.1: the allowable resultant at the angle of the
// load. All in N, allowable level.
func LagCombined(withdrawal, lateral, withdrawalDemand, lateralDemand float64) (Combined, error) {
	if err := errors.Join(positive("withdrawal", withdrawal, "lateral", lateral), notNegative("withdrawal demand", withdrawalDemand, "lateral demand", lateralDemand)); err != nil {
		return Combined{}, err
	}
	c := Combined{Withdrawal: withdrawal, Lateral: lateral, WithdrawalDemand: withdrawalDemand, LateralDemand: lateralDemand,
		Demand: math.Hypot(withdrawalDemand, lateralDemand)}
	if c.Demand == 0 {
		return Combined{}, fmt.Errorf("one of the demands must be above zero")
	}
	angle := math.Atan2(withdrawalDemand, lateralDemand)
	sin, cos := math.Sincos(angle)
	c.Angle = angle * 180 / math.Pi
	c.Allowable = withdrawal * lateral / (withdrawal*cos*cos + lateral*sin*sin)
	c.Utilisation = c.Demand / c.Allowable
	return c, nil
}

// Work gives the calculation with numbers put in.
func (c Combined) Work(sys quantity.System) []string {
	f := func(v float64) string { return show(sys, v, quantity.Force) }
	return []string{
		fmt.Sprintf("resultant of %s withdrawal and %s lateral = %s at %.1f deg from the surface", f(c.WithdrawalDemand), f(c.LateralDemand), f(c.Demand), c.Angle),
		fmt.Sprintf("Z'alpha = W'p Z' / (W'p cos2 + Z' sin2) with W'p %s, Z' %s = %s; utilisation %.3f (allowable level)", f(c.Withdrawal), f(c.Lateral), f(c.Allowable), c.Utilisation),
	}
}
