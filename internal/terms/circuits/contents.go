package circuits

import (
	"fmt"
	"slices"
	"strings"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(circuitKind, "least_carrying", terms.WholeNumber, "fewest current-carrying conductors that its raceway can have by what is listed in it and the circuits that share it", "NEC 310.15(C) and (E)", "",
	leastCarrying)

var _ = terms.Derive(circuitKind, "contents_agree", terms.YesNo, "whether the conductors of every circuit in its raceway, with its own size, insulation and equipment ground, are among what is listed in it", "the job", "",
	contentsAgree)

// contents reads what a circuit's raceway holds.
func contents(c *terms.Call, x *job.Circuit) []electrical.Content {
	text := racewayContents.Of(c, x)
	if c.Stop() {
		return nil
	}
	list, err := electrical.ParseContents(text)
	if err != nil {
		c.Err(err)
	}
	return list
}

// wires are the ungrounded conductors of one set of a circuit, and the neutrals
// that it can have which carry no more than the unbalance. The neutral of a
// single-phase circuit carries as much as its line.
func wires(c *terms.Call, x *job.Circuit) (lines, neutrals int) {
	if isDC(c, x) {
		return 2, 0
	}
	switch electrical.System(circuitSystem.Of(c, x)) {
	case electrical.SplitPhase:
		return 2, 1
	case electrical.ThreePhase:
		return 3, 1
	}
	return 2, 0
}

// besides lists the circuits that share the raceway of a circuit: those of which
// one of the two says so. Circuits in other raceways share no more than a box.
func besides(c *terms.Call, x *job.Circuit) []*job.Circuit {
	names := func(a, b *job.Circuit) bool {
		return terms.Stated(c, a.Shares) && slices.Contains(terms.Peek(c, a.Shares), b.Name.Value)
	}
	same := func(a, b job.Text) bool {
		return !terms.Stated(c, a) || !terms.Stated(c, b) || strings.EqualFold(strings.TrimSpace(terms.Peek(c, a)), strings.TrimSpace(terms.Peek(c, b)))
	}
	var list []*job.Circuit
	for _, y := range circuitKind.All(c) {
		if y != x && (names(x, y) || names(y, x)) && same(x.Raceway, y.Raceway) && same(x.TradeSize, y.TradeSize) {
			list = append(list, y)
		}
	}
	return list
}

// leastCarrying counts the conductors of a raceway that must carry current: all
// but one equipment ground. Neutrals are left out only where the circuits in the
// raceway account for everything that is listed; what they do not account for
// can be the wires of another circuit.
func leastCarrying(c *terms.Call, x *job.Circuit) int {
	terms.Drive(c, x.CurrentCarrying)
	all := besideGround(c, x, contents(c, x))
	lines, neutrals := wires(c, x)
	if !terms.Stated(c, x.Shares) && all > lines+neutrals { // it is not alone
		terms.Get(c, x.Shares)
	}
	sets, circuits := terms.Get(c, x.Sets), 1
	for _, y := range besides(c, x) {
		l, n := wires(c, y)
		lines, neutrals, circuits = lines+l, neutrals+n, circuits+1
		sets = max(sets, terms.Get(c, y.Sets))
	}
	if c.Stop() {
		return 0
	}
	if all > lines+neutrals && !terms.Get(c, x.SetsApart) { // the sets lie together
		lines, neutrals = lines*sets, neutrals*sets
	}
	n, why := all, "they are more than its circuits have"
	switch {
	case neutrals == 0 && all == lines:
		why = "all are lines"
	case all <= lines+neutrals:
		n, why = lines, "the others can be neutrals, which carry the unbalance"
		if all <= lines {
			why = "the lines of its circuits"
		}
	}
	line(c, "%s: %d conductors besides the ground, %d circuits with %d lines: at least %d carry current (%s)", racewayContents.Of(c, x), all, circuits, lines, n, why)
	return n
}

// besideGround counts the conductors of a raceway without its equipment ground.
func besideGround(c *terms.Call, x *job.Circuit, list []electrical.Content) int {
	if _, said := contentsSaid(c, x); !said {
		n := 0
		for _, r := range runsIn(c, x) {
			n += r.lines + r.neutrals
		}
		return n
	}
	n, ground := 0, groundByRaceway(c, x)
	for _, part := range list {
		if isBare(part) {
			ground = true
			continue
		}
		n += part.Count
	}
	if ground {
		return n
	}
	size := terms.Get(c, x.Ground)
	if slices.ContainsFunc(list, func(p electrical.Content) bool {
		return p.Count == 1 || p.Size == size || p.Diameter != 0 && p.Count > 1
	}) {
		n--
	}
	return n
}

// run is what one circuit brings into a raceway at most.
type run struct {
	lines, neutrals, grounds int
	conductor, earth         quantity.Size
	insulation               string
}

// runsIn are the circuits of a raceway, with a neutral and an equipment ground
// each where they can have one.
func runsIn(c *terms.Call, x *job.Circuit) []run {
	terms.Get(c, x.Shares)
	var list []run
	for _, y := range append([]*job.Circuit{x}, besides(c, x)...) {
		r := run{conductor: terms.Get(c, y.Conductor), insulation: terms.Get(c, y.Insulation)}
		r.lines, r.neutrals = wires(c, y)
		if sets := terms.Get(c, y.Sets); sets > 1 && !terms.Get(c, y.SetsApart) {
			r.lines, r.neutrals, r.grounds = r.lines*sets, r.neutrals*sets, sets-1
		}
		if groundByRaceway(c, y) {
			r.grounds = 0
		} else {
			r.grounds++
			r.earth = terms.Get(c, y.Ground)
		}
		list = append(list, r)
	}
	return list
}

// contentsSaid is what the raceway of a circuit holds by a circuit that shares
// it, where this one does not say so itself.
func contentsSaid(c *terms.Call, x *job.Circuit) (by *job.Circuit, ok bool) {
	for _, y := range append([]*job.Circuit{x}, besides(c, x)...) {
		if terms.Stated(c, y.Contents) {
			return y, true
		}
	}
	return nil, false
}

// racewayContents is what a raceway holds as stated, else as a circuit that shares
// it states, else the most that its circuits can bring into it.
var racewayContents = terms.Fill(circuitKind, "contents", terms.Word, func(c *terms.Call, x *job.Circuit, stated bool, v string) string {
	if stated {
		return v
	}
	if raceway := terms.Get(c, x.Raceway); raceway == "cable" || raceway == "free-air" {
		c.Missing(x.Contents.Key, x.Contents.At)
		return ""
	}
	if y, ok := contentsSaid(c, x); ok {
		listed := terms.Peek(c, y.Contents)
		line(c, "%s shares the raceway of %s: %s", x.Name.Value, y.Name.Value, listed)
		return listed
	}
	var parts []string
	neutrals, grounds := 0, 0
	for _, r := range runsIn(c, x) {
		parts = append(parts, fmt.Sprintf("%dx%s %s", r.lines+r.neutrals, r.conductor, r.insulation))
		if r.grounds > 0 {
			parts = append(parts, fmt.Sprintf("%dx%s %s", r.grounds, r.earth, r.insulation))
		}
		neutrals, grounds = neutrals+r.neutrals, grounds+r.grounds
	}
	if c.Stop() {
		return ""
	}
	held := strings.Join(parts, ", ")
	switch {
	case neutrals > 0 || grounds > 1:
		c.Assume()
		line(c, "%s is left out: %s, with a neutral to every alternating-current circuit that can have one, a ground to each circuit", x.Contents.Key, held)
	default:
		line(c, "%s holds %s: the conductors of %s and its ground", x.Name.Value, held, x.Name.Value)
	}
	return held
})

func isBare(p electrical.Content) bool {
	return strings.HasPrefix(strings.ToLower(p.Insulation), "bare")
}

// contentsAgree counts by size what the circuits of a raceway need. Cables that
// are given by their diameter can hold any of it.
func contentsAgree(c *terms.Call, x *job.Circuit) bool {
	terms.Drive(c, x.Contents)
	list, size, insulation := contents(c, x), terms.Get(c, x.Conductor), ""
	need := map[quantity.Size]int{}
	if !groundByRaceway(c, x) {
		need[terms.Get(c, x.Ground)]++
	}
	cable := slices.ContainsFunc(list, func(p electrical.Content) bool { return p.Diameter != 0 })
	if cable || c.Stop() {
		return cable
	}
	together := append([]*job.Circuit{x}, besides(c, x)...)
	for _, y := range together {
		lines, _ := wires(c, y)
		if sets := terms.Get(c, y.Sets); terms.Stated(c, y.SetsApart) && !terms.Peek(c, y.SetsApart) {
			lines *= sets
		}
		need[terms.Get(c, y.Conductor)] += lines
	}
	insulation = terms.Get(c, x.Insulation)
	code := nec(c)
	if c.Stop() {
		return false
	}
	alike := 0
	for _, p := range list {
		need[p.Size] -= p.Count
		if p.Size != size || isBare(p) {
			continue
		}
		same, err := code.SameInsulation(p.Insulation, insulation)
		if err != nil {
			c.Err(err)
			return false
		}
		if same {
			alike += p.Count
		}
	}
	for _, short := range need {
		if short > 0 {
			return false
		}
	}
	for _, y := range together[1:] {
		if terms.Stated(c, y.Contents) && !sameContents(list, contents(c, y)) {
			return false
		}
	}
	own, _ := wires(c, x)
	return alike >= own
}

// sameContents is whether two lists hold the same conductors in any order.
func sameContents(a, b []electrical.Content) bool {
	count := map[electrical.Content]int{}
	add := func(list []electrical.Content, sign int) {
		for _, p := range list {
			n := p.Count
			p.Count, p.Insulation = 0, strings.ToLower(p.Insulation)
			count[p] += sign * n
		}
	}
	add(a, 1)
	add(b, -1)
	for _, n := range count {
		if n != 0 {
			return false
		}
	}
	return true
}
