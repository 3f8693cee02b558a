package structural

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

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
	screwSafety            float64
	placement              struct{ edge, end, spacing, loaded float64 }
	lags                   []lagSize
	screwSizes             []screwSize  // thin to thick
	screwYields            []screwYield // thin to thick
	thread                 struct{ share, extra, cap, screwShare float64 }
	duration               *table.Table
	service                serviceFactors
	yield                  yieldFactors
	plates                 plateFactors
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

// screwSize is a wood screw of the standard, screwYield the bending yield
// strength of wood screws up to a diameter.
type (
	screwSize  struct{ diameter, root float64 }
	screwYield struct{ to, yield float64 }
)

type serviceFactors struct {
	wetWithdrawal, wetLateral, wetRows, endGrainWithdrawal, endGrainLateral float64
	warm, hot, limit                                                        float64 // degC
	warmDry, hotDry, warmWet, hotWet                                        float64
}

type yieldFactors struct {
	parallel, perpendicular, gravity           float64
	thin, thinGravity                          float64 // bearing under fasteners thinner than thinBelow
	thinBelow                                  float64
	one, two, three, across                    float64
	smallBelow, smallLeast, smallLeastDiameter float64
	smallSlope, smallBase                      float64
	lagLeast, screwLeast, screwFull, screwTip  float64 // penetration and tip, times the diameter
}

// plateFactors give the dowel bearing strength of side plates.
type plateFactors struct {
	sheet, plate, thick                   float64
	sheetShare, plateShare, aluminumShare float64 // of the tensile strength
	aluminumLeast, aluminumMost           float64 // tensile strength of usual alloys
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
	n.screwSafety = f("screw-safety")
	n.refs["wood-screw"] = s.table("withdrawal").Ref("wood-screw-coefficient")
	t := s.table("lag-dimensions")
	for _, r := range t.Rows {
		n.lags = append(n.lags, lagSize{r.Key, s.cell(t, r.Key, "diameter"), s.cell(t, r.Key, "root"), s.cell(t, r.Key, "tip"), s.cell(t, r.Key, "bending-yield"), t.Ref(r.Key)})
	}
	f = factors("lag-thread")
	n.thread.share, n.thread.extra, n.thread.cap, n.thread.screwShare = f("share"), f("extra"), f("cap"), f("wood-screw-share")
	n.refs["screw-thread"] = s.table("lag-thread").Ref("wood-screw-share")
	f = factors("lag-placement")
	n.placement.edge, n.placement.end, n.placement.spacing, n.placement.loaded = f("edge"), f("end"), f("spacing"), f("loaded-edge")
	f = factors("service")
	n.service = serviceFactors{f("wet-withdrawal"), f("wet-lateral"), f("wet-rows"), f("end-grain-withdrawal"), f("end-grain-lateral"),
		f("warm"), f("hot"), f("limit"), f("warm-dry"), f("hot-dry"), f("warm-wet"), f("hot-wet")}
	f = factors("yield")
	n.yield = yieldFactors{f("bearing-parallel"), f("bearing-perpendicular"), f("bearing-gravity"), f("thin-bearing"), f("thin-gravity"), f("thin-below"),
		f("reduction-bearing"), f("reduction-two"), f("reduction-three"), f("reduction-perpendicular"), f("small-diameter"), f("small-least"), f("small-least-diameter"),
		f("small-slope"), f("small-base"), f("lag-penetration"), f("wood-screw-penetration"), f("wood-screw-full"), f("wood-screw-tip")}
	f = factors("side-plates")
	n.refs["aluminum"] = s.table("side-plates").Ref("aluminum-share")
	n.plates = plateFactors{f("sheet-bearing"), f("plate-bearing"), f("plate-thickness"), f("sheet-share"), f("plate-share"), f("aluminum-share"), f("aluminum-least"), f("aluminum-most")}
	t = s.table("wood-screws")
	for _, r := range t.Rows {
		n.screwSizes = append(n.screwSizes, screwSize{s.cell(t, r.Key, "diameter"), s.cell(t, r.Key, "root")})
	}
	n.refs["wood-screws"] = t.Ref("")
	t = s.table("wood-screw-yield")
	for _, r := range t.Rows {
		n.screwYields = append(n.screwYields, screwYield{s.cell(t, r.Key, "to"), s.cell(t, r.Key, "bending-yield")})
	}
	n.refs["wood-screw-yield"] = t.Ref("")
	n.duration, n.species, n.screws = s.table("duration"), s.table("specific-gravity"), s.table("wood-screws")
	return n, s.err()
}

// Duration gives CD of a load: permanent, normal, snow, roof-live, wind,
// seismic.
func (n *NDS) Duration(load string) (float64, bool) { return n.duration.Number(load, "factor") }

// SpecificGravity gives the assigned specific gravity of a species
// combination by its usual name.
func (n *NDS) SpecificGravity(species string) (float64, bool) {
	for _, row := range n.species.Rows {
		if SameName(row.Key, species) {
			return n.species.Number(row.Key, "gravity")
		}
	}
	return 0, false
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
	Rows        bool    // several thick fasteners in rows beside each other, which wood that shrinks splits
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

// adjust finds the factors of a value, given the ones for wet service and for end
// grain.
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

func (n *NDS) adjustLateral(c Conditions) (Adjustment, error) {
	wet := n.service.wetLateral
	if c.Rows {
		wet = n.service.wetRows
	}
	return n.adjust(c, wet, n.service.endGrainLateral)
}

// Thick reports whether a fastener is of a diameter at which rows and grain count.
func (n *NDS) Thick(diameter float64) bool { return Meets(n.yield.thinBelow, diameter) }

// ScrewSafety is the safety factor on the tested strength of a screw itself.
func (n *NDS) ScrewSafety() float64 { return n.screwSafety }

// lagOf finds the dimensions of a lag screw by its diameter in m.
func (n *NDS) lagOf(diameter float64) (lagSize, error) {
	for _, l := range n.lags {
		if math.Abs(l.diameter-diameter) < 1e-6 {
			return l, nil
		}
	}
	return lagSize{}, fmt.Errorf("no lag screw of %.4g in in the dimension table", diameter/quantity.Inch)
}

// Thread is the effective thread of a lag or wood screw in the main member, m.
type Thread struct {
	Length, Plate, Sheathing, Depth float64
	Full                            float64 // thread of the screw with its tip
	Tip                             float64 // that is not counted; zero for a wood screw
	InMember                        float64 // length of screw past plate and sheathing, tip and what comes out below counted
	Effective                       float64 // thread in the member, tip not counted
	Most                            float64 // the same of a screw that is threaded up to its head
	Refs                            []table.Ref
}

// LagThread finds the effective thread of a lag screw of a length under the
// head that passes a plate (foot, flashing, covering) and sheathing first and
// then goes into a member of a depth. The screw is taken to have the least
// thread of the standard.
func (n *NDS) LagThread(diameter, length, plate, sheathing, depth float64) (Thread, error) {
	l, err := n.lagOf(diameter)
	if err != nil {
		return Thread{}, err
	}
	t := Thread{Length: length, Plate: plate, Sheathing: sheathing, Depth: depth, Tip: l.tip,
		Full: math.Min(math.Min(n.thread.cap, n.thread.share*length+n.thread.extra), length), Refs: []table.Ref{l.ref, n.refs["lag-thread"]}}
	err = t.fit()
	t.Most = t.Effective // its thread is known
	return t, err
}

// ScrewThread is LagThread for a wood screw, of whose tip nothing is taken off.
func (n *NDS) ScrewThread(length, plate, sheathing, depth float64) (Thread, error) {
	t := Thread{Length: length, Plate: plate, Sheathing: sheathing, Depth: depth, Full: n.thread.screwShare * length, Refs: []table.Ref{n.refs["screw-thread"]}}
	return t, t.fit()
}

// ErrNoThread is the error of a screw without thread in the member; how far it
// reaches is known all the same.
var ErrNoThread = errors.New("no thread is left in the member")

// fit finds how much thread lies between the two faces of the member.
func (t *Thread) fit() error {
	if err := errors.Join(positive("length", t.Length, "depth of the member", t.Depth), notNegative("plate", t.Plate, "sheathing", t.Sheathing)); err != nil {
		return err
	}
	t.InMember = t.Length - t.Plate - t.Sheathing
	t.Most = math.Min(t.Depth, t.InMember-t.Tip)
	t.Effective = t.Most - math.Max(0, t.InMember-t.Full)
	if !(t.Effective > 0) {
		return fmt.Errorf("%w: %.3g in of screw pass plate and sheathing, the tip takes %.3g in", ErrNoThread, (t.Length-t.InMember)/quantity.Inch, t.Tip/quantity.Inch)
	}
	return nil
}

// Penetration is the length of screw in the member that a lateral load bears on:
// of a lag without its tip, of a wood screw with it.
func (t Thread) Penetration() float64 { return math.Min(t.InMember-t.Tip, t.Depth-t.Tip/2) }

// Work gives the calculation with numbers put in.
func (t Thread) Work(sys quantity.System) []string {
	l := func(v float64) string { return show(sys, v, quantity.Length) }
	if t.InMember-t.Tip > t.Depth {
		return []string{fmt.Sprintf("thread in the member: the screw comes out of the %s of the member; of a thread of %s (screw of %s past plate %s and sheathing %s) it holds %s",
			l(t.Depth), l(t.Full), l(t.Length), l(t.Plate), l(t.Sheathing), l(t.Effective))}
	}
	return []string{fmt.Sprintf("thread in the member: the lesser of %s (thread of a screw of %s) and %s (past plate %s and sheathing %s), less the tip %s = %s",
		l(t.Full), l(t.Length), l(t.InMember), l(t.Plate), l(t.Sheathing), l(t.Tip), l(t.Effective))}
}

// Placement is how far a lag screw stands from the edges and the end of its
// member and from the next one, at least, m: in withdrawal, and from the edge
// that a load across the grain pushes it to.
type Placement struct {
	Edge, End, Spacing, LoadedEdge float64
	Refs                           []table.Ref
}

// LagPlacement gives the least distances for lag screws.
func (n *NDS) LagPlacement(diameter float64) (Placement, error) {
	if err := positive("diameter", diameter); err != nil {
		return Placement{}, err
	}
	return Placement{n.placement.edge * diameter, n.placement.end * diameter, n.placement.spacing * diameter, n.placement.loaded * diameter, []table.Ref{n.refs["lag-placement"]}}, nil
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

// Mode is a yield mode of a connection with its value.
type Mode struct {
	Name  string
	Value float64
}

// Plate is the metal side plate of a connection.
type Plate struct {
	Thickness float64 // m
	Bearing   float64 // dowel bearing strength, Pa
	Refs      []table.Ref
}

// Joint is what a lag or wood screw holds together in single shear.
type Joint struct {
	Gravity     float64 // of the wood
	Side        Plate
	Gap         float64 // between side plate and member, such as the hollow of a rib, m
	Penetration float64 // of the screw in the member, m: of a lag without its tip, of a wood screw with it
}

// Lateral is the lateral value of one screw in single shear with a metal side
// plate, N. The standard's factors for groups and geometry are left at 1: two
// screws in a row below one foot share the load within half a percent, and the
// distances that would reduce it are asked for in full.
type Lateral struct {
	Joint
	Diameter, Root          float64
	Bearing                 float64 // the length that bears in the member
	Parallel, Perpendicular float64
	Along, Across           []Mode // adjusted, along and across the grain
	ParallelMode            string
	PerpendicularMode       string
	Adjustment              Adjustment
	Refs                    []table.Ref
}

// dowel is a screw as the yield equations see it.
type dowel struct {
	diameter, root, yield float64
	bearing               float64 // length that bears in the member
}

// SidePlate gives a side plate of a steel (A653, which is sheet of Grade 33, or
// A36), of "steel" or "stainless" of the kind usual at the thickness, or of
// "aluminum". A tensile strength that is given counts where it is the lesser;
// zero is not given.
func (n *NDS) SidePlate(material string, thickness, tensile float64) (Plate, error) {
	if err := errors.Join(positive("side plate", thickness), notNegative("tensile strength of the side plate", tensile)); err != nil {
		return Plate{}, err
	}
	p := n.plates
	share, usual := p.sheetShare, p.sheet
	switch {
	case material == "aluminum":
		if tensile == 0 {
			tensile = p.aluminumLeast
		}
		return Plate{thickness, p.aluminumShare * math.Min(tensile, p.aluminumMost), []table.Ref{n.refs["aluminum"]}}, nil
	case material == "A36", material != "A653" && Meets(p.thick, thickness):
		share, usual = p.plateShare, p.plate
	case material != "A653" && material != "steel" && material != "stainless":
		return Plate{}, fmt.Errorf("side plate %q is none of A653, A36, steel, stainless, aluminum", material)
	}
	if tensile > 0 {
		usual = math.Min(usual, share*tensile)
	}
	return Plate{thickness, usual, []table.Ref{n.refs["side-plates"]}}, nil
}

// LagLateral computes the yield limit equations of 12.3.1 for a lag screw along
// and across the grain. They know the penetration by the length that bears;
// under four diameters there is no value.
func (n *NDS) LagLateral(diameter float64, j Joint, c Conditions) (Lateral, error) {
	l, err := n.lagOf(diameter)
	if err != nil {
		return Lateral{}, err
	}
	if err := n.penetrates(j, n.yield.lagLeast, diameter); err != nil {
		return Lateral{}, err
	}
	return n.lateral(dowel{diameter, l.root, l.yield, j.Penetration + l.tip/2}, j, c, l.ref)
}

// ScrewLateral is LagLateral for a wood screw of a diameter. Root diameter and
// bending yield strength that are zero are those of the standard: the root of
// the next thinner screw of its table. Under six diameters there is no value.
func (n *NDS) ScrewLateral(diameter, root, yield float64, j Joint, c Conditions) (Lateral, error) {
	if err := errors.Join(positive("diameter", diameter), notNegative("root diameter", root, "bending yield strength", yield), n.penetrates(j, n.yield.screwLeast, diameter)); err != nil {
		return Lateral{}, err
	}
	var refs []table.Ref
	if root == 0 {
		for _, s := range n.screwSizes {
			if Meets(s.diameter, diameter) {
				root = s.root
			}
		}
		if root == 0 {
			return Lateral{}, fmt.Errorf("no wood screw as thin as %.3g in is in the table", diameter/quantity.Inch)
		}
		refs = append(refs, n.refs["wood-screws"])
	}
	if root > diameter {
		return Lateral{}, fmt.Errorf("the root diameter is above the diameter")
	}
	if yield == 0 {
		for _, s := range n.screwYields {
			if Meets(diameter, s.to) {
				yield = s.yield
				break
			}
		}
		if yield == 0 {
			return Lateral{}, fmt.Errorf("no bending yield strength is known of a wood screw of %.3g in", diameter/quantity.Inch)
		}
		refs = append(refs, n.refs["wood-screw-yield"])
	}
	bearing := j.Penetration
	if j.Penetration < n.yield.screwFull*diameter {
		bearing -= n.yield.screwTip * diameter / 2 // half the tapered tip
	}
	return n.lateral(dowel{diameter, root, yield, bearing}, j, c, refs...)
}

// penetrates refuses a joint with less penetration than a number of diameters.
func (n *NDS) penetrates(j Joint, diameters, diameter float64) error {
	if least := diameters * diameter; !Meets(least, j.Penetration) {
		return fmt.Errorf("penetration %.3g in is under %.3g in (%.0f diameters): no lateral value", j.Penetration/quantity.Inch, least/quantity.Inch, diameters)
	}
	return nil
}

func (n *NDS) lateral(d dowel, j Joint, c Conditions, refs ...table.Ref) (Lateral, error) {
	if err := errors.Join(within("specific gravity", j.Gravity, n.gravityLow, n.gravityTop), positive("side plate", j.Side.Thickness, "side plate bearing strength", j.Side.Bearing), notNegative("gap", j.Gap)); err != nil {
		return Lateral{}, err
	}
	a, err := n.adjustLateral(c)
	if err != nil {
		return Lateral{}, err
	}
	r := Lateral{Joint: j, Diameter: d.diameter, Root: d.root, Bearing: d.bearing, Adjustment: a, Refs: slices.Concat([]table.Ref{n.refs["yield"], n.duration.Ref("")}, refs, j.Side.Refs)}
	y := n.yield
	if !n.Thick(d.diameter) { // bears alike at every angle to the grain
		r.Along = n.modes(d, j, y.thin*math.Pow(j.Gravity, y.thinGravity), 1, a.Product)
		r.Across = r.Along
	} else {
		r.Along = n.modes(d, j, y.parallel*j.Gravity, 1, a.Product)
		r.Across = n.modes(d, j, y.perpendicular*math.Pow(j.Gravity, y.gravity)/math.Sqrt(d.diameter/quantity.Inch), 1+y.across, a.Product)
	}
	r.Parallel, r.ParallelMode = least(r.Along)
	r.Perpendicular, r.PerpendicularMode = least(r.Across)
	return r, nil
}

// modes are the six yield modes of a single-shear connection (Table 12.3.1A)
// with the root diameter as the dowel, in the form of the general dowel
// equations of Technical Report 12, which know a gap between the members.
func (n *NDS) modes(d dowel, j Joint, bearing, angle, adjust float64) []Mode {
	lm, ls := d.bearing, j.Side.Thickness
	main, side := bearing*d.root, j.Side.Bearing*d.root // N per m of dowel
	moment := d.yield * d.root * d.root * d.root / 6
	one, two, three := n.reductions(d.root, angle)
	// the root of a P2 + b P = k, in a form that holds for b = 0
	root := func(a, b, k float64) float64 { return 2 * k / (b + math.Sqrt(b*b+4*a*k)) }
	return []Mode{
		{"Im", adjust * main * lm / one},
		{"Is", adjust * side * ls / one},
		{"II", adjust * root(1/(4*side)+1/(4*main), ls/2+j.Gap+lm/2, (side*ls*ls+main*lm*lm)/4) / two},
		{"IIIm", adjust * root(1/(2*side)+1/(4*main), j.Gap+lm/2, moment+main*lm*lm/4) / three},
		{"IIIs", adjust * root(1/(4*side)+1/(2*main), ls/2+j.Gap, moment+side*ls*ls/4) / three},
		{"IV", adjust * root(1/(2*side)+1/(2*main), j.Gap, 2*moment) / three},
	}
}

func least(modes []Mode) (float64, string) {
	m := slices.MinFunc(modes, func(a, b Mode) int { return cmp.Compare(a.Value, b.Value) })
	return m.Value, m.Name
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
	gap := ""
	if r.Gap > 0 {
		gap = ", bending over a gap of " + show(sys, r.Gap, quantity.Length)
	}
	return []string{
		fmt.Sprintf("root diameter %s, side plate %s, penetration %s%s: modes %s along and %s across the grain", show(sys, r.Root, quantity.Length), show(sys, r.Side.Thickness, quantity.Length), show(sys, r.Penetration, quantity.Length), gap, r.ParallelMode, r.PerpendicularMode),
		fmt.Sprintf("Z' along the grain %s, across %s, with %s (allowable level)", f(r.Parallel), f(r.Perpendicular), r.Adjustment),
	}
}

// Reported is a lateral value of one screw that an evaluation report gives for
// normal duration, N.
type Reported struct {
	Value, Allowable float64
	Adjustment       Adjustment
	Refs             []table.Ref
}

// ReportedLateral adjusts a value of an evaluation report as the standard does
// its own.
func (n *NDS) ReportedLateral(value float64, c Conditions) (Reported, error) {
	if err := positive("lateral value", value); err != nil {
		return Reported{}, err
	}
	a, err := n.adjustLateral(c)
	return Reported{value, value * a.Product, a, []table.Ref{n.duration.Ref(""), n.refs["service"]}}, err
}

// Work gives the calculation with numbers put in.
func (r Reported) Work(sys quantity.System) []string {
	return []string{fmt.Sprintf("Z' = %s of the evaluation report x %s = %s a screw (allowable level)", show(sys, r.Value, quantity.Force), r.Adjustment, show(sys, r.Allowable, quantity.Force))}
}

// Combined is a lag or wood screw under withdrawal and lateral load at once.
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
