package roofplan

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// role is what a stretch of the border means to a crew on its way.
type role uint8

const (
	flank  role = iota // may not be passed
	start              // where the way may begin
	finish             // where it may end
)

// slope is what of one side of the roof belongs to a set of planes, laid flat by itself with up along y.
type slope struct {
	flat     *Flat
	ring     []rim // the outer border of the slope
	top      float64
	begins   bool // a ladder reaches it
	levelTop bool // it ends at the top along an edge, not in a corner
}

// slopes parts a set of planes into the sides of the roof that they belong to.
func (r *Roof) slopes(planes []int) ([]*slope, error) {
	g := newGroups(len(r.planes))
	within := make(map[int]bool, len(planes))
	for _, p := range planes {
		within[p] = true
	}
	for _, p := range planes {
		for _, e := range r.edges[p] {
			if e.Kind == Break && e.mate >= 0 && within[e.Neighbour] {
				g.join(p, e.Neighbour)
			}
		}
	}
	var all []*slope
	for _, m := range g.lists(planes) {
		flat, err := r.lay(m, []EdgeKind{Break})
		if err != nil {
			return nil, err
		}
		s := &slope{flat: flat, ring: flat.rings()[0], top: math.Inf(-1)}
		for _, x := range s.ring {
			s.top = max(s.top, x.from.Y)
		}
		s.levelTop = slices.ContainsFunc(s.ring, func(x rim) bool { return x.edge.Kind == Ridge || s.atTop(x) })
		all = append(all, s)
	}
	return all, nil
}

// atTop tells whether a rim runs level along the very top of the slope.
func (s *slope) atTop(m rim) bool {
	slack := levelSlack(m.edge.Length()) / s.flat.roof.frames[m.plane].cos
	return m.to.X < m.from.X && s.top-min(m.from.Y, m.to.Y) <= slack
}

// atBottom tells whether a rim runs level along the very bottom of the slope.
func (s *slope) atBottom(m rim) bool {
	low := math.Inf(1)
	for _, x := range s.ring {
		low = min(low, x.from.Y)
	}
	slack := levelSlack(m.edge.Length()) / s.flat.roof.frames[m.plane].cos
	return m.to.X > m.from.X && max(m.from.Y, m.to.Y)-low <= slack
}

// giveRoles gives every stretch of the outer border its role. What an edge is decides, not where its plane comes to an end:
//
// A way begins at an eave that a ladder reaches: one with no other plane over or under it. A side without such an eave begins at its lowest
// corner, if the edges that meet there are free.
//
// It ends at the ridge of a side on which it can begin, and at the free top corner of such a side that has no level top, as the triangle
// between two hips. A high eave ends it only where there is neither, as on a roof of a single pitch.
//
// Corners are cut back until the edges that meet there are a width apart, and what is cut off is the start or the end.
func (b *border) giveRoles(width float64) error {
	slopes, err := b.flat.roof.slopes(b.flat.planes)
	if err != nil {
		return err
	}
	for _, s := range slopes {
		if b.assign(s, start, func(m rim) bool { return m.edge.Kind == Eave && m.edge.Beyond < 0 }) {
			s.begins = true
		} else {
			s.begins = b.cutCorner(s, start, width)
		}
	}
	ends := false
	for _, s := range slopes {
		switch {
		case !s.begins:
		case b.assign(s, finish, func(m rim) bool { return m.edge.Kind == Ridge }):
			ends = true
		case !s.levelTop:
			ends = b.cutCorner(s, finish, width) || ends
		}
	}
	for _, s := range slopes {
		if !ends && s.begins {
			b.assign(s, finish, func(m rim) bool {
				stated := b.flat.roof.stated(m.edge) == HighEave
				return m.edge.Kind == HighEave && m.edge.Beyond < 0 && (stated || s.atTop(m))
			})
		}
	}
	if !slices.Contains(b.roles, start) {
		return fmt.Errorf("no way can begin on %s: %s", b.flat.roof.named(b.flat.planes), b.whyNoStart(slopes))
	}
	if !slices.Contains(b.roles, finish) {
		return fmt.Errorf("no way can end on %s: %s", b.flat.roof.named(b.flat.planes), b.whyNoFinish(slopes))
	}
	return nil
}

// assign gives a role to the outer rims of a slope that qualify, and tells whether there is one.
func (b *border) assign(s *slope, as role, qualifies func(m rim) bool) bool {
	any := false
	for _, m := range s.ring {
		if k := b.outerRim(m.hinge); k >= 0 && qualifies(m) {
			b.roles[k], any = as, true
		}
	}
	return any
}

// outerRim is the number of the rim of the outer border that is an edge, -1 for none.
func (b *border) outerRim(at hinge) int {
	return slices.IndexFunc(b.rims[:b.outer], func(m rim) bool { return m.hinge == at })
}

// freeAt tells whether an edge beside the lowest or the highest corner of a slope lets a way begin or end there.
func freeAt(as role, e Edge) bool {
	return e.Kind == Rake && e.Beyond < 0 || as == finish && e.Kind == Hip
}

// cutCorner makes an end or a start out of the top or bottom corner of a slope that has no level edge there; false when the corner is not free.
func (b *border) cutCorner(s *slope, as role, width float64) bool {
	c := s.cornerOf(as)
	if c == nil {
		return false
	}
	depth := c.cutDepth(width)
	b.cuts++
	any := false
	for side, chain := range [2][]rim{c.in, c.out} {
		cut := b.cuts
		if side == 1 {
			cut = -b.cuts
		}
		for _, m := range chain {
			k := b.outerRim(m.hinge)
			if k < 0 || b.roles[k] != flank {
				continue
			}
			any = true
			far, near := m.from, m.to // the near end is the one toward the corner
			if side == 1 {
				far, near = near, far
			}
			b.rims[k].cut = cut
			share := c.above(far, near, depth)
			switch {
			case share >= 1:
				b.roles[k], b.rims[k].cut = as, 0
			case share > 0 && side == 0:
				b.split(k, 1-share, flank, as)
			case share > 0:
				b.split(k, share, as, flank)
			}
		}
	}
	if any {
		b.plain = false
	}
	return any
}

// corner is the top or bottom corner of a slope and the edges that run away from it, in the frame of the slope, the nearest first.
type corner struct {
	at      Point
	up      float64 // 1 at the top, -1 at the bottom
	in, out []rim   // edges before and after the corner
}

// cornerOf finds the corner at which a way over a slope can begin or end; nil when the edges beside it are not free.
func (s *slope) cornerOf(as role) *corner {
	c := &corner{up: 1}
	if as == start {
		c.up = -1
	}
	n := len(s.ring)
	at := 0
	for k, m := range s.ring {
		if c.up*(m.to.Y-s.ring[at].to.Y) > 0 {
			at = k
		}
	}
	c.at = s.ring[at].to
	first, second := s.ring[at], s.ring[(at+1)%n]
	if !freeAt(as, first.edge) || !freeAt(as, second.edge) {
		return nil
	}
	// Each row of edges goes on while it falls away from the corner and from the other row.
	aside := first.from.sub(c.at).unit().sub(second.to.sub(c.at).unit())
	for k := range n {
		m := s.ring[(at+n-k)%n]
		d := m.from.sub(m.to)
		if !freeAt(as, m.edge) || c.up*d.Y >= 0 || d.dot(aside) < 0 {
			break
		}
		c.in = append(c.in, m)
	}
	for k := range n - len(c.in) {
		m := s.ring[(at+1+k)%n]
		d := m.to.sub(m.from)
		if !freeAt(as, m.edge) || c.up*d.Y >= 0 || d.dot(aside) > 0 {
			break
		}
		c.out = append(c.out, m)
	}
	if len(c.in) == 0 || len(c.out) == 0 {
		return nil
	}
	return c
}

// above is the share of an edge that lies within a depth of the corner.
func (c *corner) above(far, near Point, depth float64) float64 {
	f, n := c.up*(c.at.Y-far.Y), c.up*(c.at.Y-near.Y)
	return max(0, min((depth-n)/(f-n), 1))
}

// cutDepth is how far below the corner both rows of edges have to end to be a width apart; a little of each always remains.
func (c *corner) cutDepth(width float64) float64 {
	lastIn, lastOut := c.in[len(c.in)-1].from, c.out[len(c.out)-1].to
	lo, hi := 0.0, min(c.up*(c.at.Y-lastIn.Y), c.up*(c.at.Y-lastOut.Y))*(1-1e-6)
	for range 60 {
		depth := (lo + hi) / 2
		if c.gapBelow(depth) >= width {
			hi = depth
		} else {
			lo = depth
		}
	}
	return hi
}

// gapBelow is the distance between what is left of the rows of edges below a depth.
func (c *corner) gapBelow(depth float64) float64 {
	least := math.Inf(1)
	for _, m := range c.in {
		share := c.above(m.from, m.to, depth)
		if share >= 1 {
			continue
		}
		left := Segment(m.to.toward(m.from, share), m.from)
		for _, o := range c.out {
			if share := c.above(o.to, o.from, depth); share < 1 {
				right := Segment(o.from.toward(o.to, share), o.to)
				d, _, _ := separation(&left, &right)
				least = min(least, d)
			}
		}
	}
	return least
}

// split cuts a rim in two at a share of its length.
func (b *border) split(k int, at float64, first, second role) {
	m := b.rims[k]
	p := m.from.toward(m.to, at)
	head, tail := m, m
	head.to, tail.from, head.angle = p, p, math.Pi
	if first != flank {
		head.cut = 0
	}
	if second != flank {
		tail.cut = 0
	}
	b.rims = slices.Replace(b.rims, k, k+1, head, tail)
	b.roles = slices.Replace(b.roles, k, k+1, first, second)
	b.outer++
}

// doubtsOf lists the doubts on which a way over planes depends: whether two of them meet, and what a level edge of theirs or a free corner is.
func (r *Roof) doubtsOf(planes []int) []Doubt {
	within := map[int]bool{}
	for _, p := range planes {
		within[p] = true
	}
	var all []Doubt
	for _, p := range planes {
		if p < 0 || p >= len(r.planes) {
			continue
		}
		for _, e := range r.edges[p] {
			d := e.Doubt
			if d == nil || slices.Contains(all, *d) {
				continue
			}
			level := math.Abs(e.To.Y-e.From.Y)*r.frames[p].cos <= levelSlack(e.Length())
			corner := (e.Kind == Rake || e.Kind == Hip) && r.cornered(p)
			if level || corner || within[d.A] && within[d.B] {
				all = append(all, *d)
			}
		}
	}
	return all
}

// cornered tells whether a plane has no level edge at its bottom or none at its top.
func (r *Roof) cornered(plane int) bool {
	var has [finish + 1]bool
	for _, e := range r.edges[plane] {
		has[r.naturalRole(e)] = true
	}
	return !has[start] || !has[finish]
}

// named lists planes by name for an error.
func (r *Roof) named(planes []int) string {
	names := make([]string, len(planes))
	for i, p := range planes {
		names[i] = fmt.Sprintf("%q", r.planes[p].Name)
	}
	if len(names) == 1 {
		return "plane " + names[0]
	}
	return "planes " + strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// whyNoStart says what stands at the bottom of the slopes.
func (b *border) whyNoStart(slopes []*slope) string {
	var reasons []string
	for _, s := range slopes {
		found := false
		for _, m := range s.ring {
			if s.atBottom(m) || m.edge.Kind == Eave {
				reasons, found = append(reasons, b.flat.roof.whyShut(m.edge, "at its bottom")), true
			}
		}
		if !found {
			reasons = append(reasons, b.flat.roof.whyNoCorner(s, start))
		}
	}
	return listed(reasons)
}

// whyNoFinish says what stands at the top of the slopes.
func (b *border) whyNoFinish(slopes []*slope) string {
	var reasons []string
	for _, s := range slopes {
		if !s.begins {
			reasons = append(reasons, fmt.Sprintf("a ladder reaches no eave of %s", b.flat.roof.named(s.flat.planes)))
			continue
		}
		found := false
		for _, m := range s.ring {
			if s.atTop(m) {
				reasons, found = append(reasons, b.flat.roof.whyShut(m.edge, "at its top")), true
			}
		}
		if !found {
			reasons = append(reasons, b.flat.roof.whyNoCorner(s, finish))
		}
	}
	return listed(reasons)
}

func listed(reasons []string) string {
	var out []string
	for _, r := range reasons {
		if !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	return strings.Join(out, "; ")
}

// whyShut says why a way neither begins nor ends at a level edge.
func (r *Roof) whyShut(e Edge, where string) string {
	name := r.planes[e.Plane].Name
	switch {
	case e.Kind == Break && e.Neighbour >= 0:
		return fmt.Sprintf("%s plane %q goes on as plane %q, which was not taken with it", where, name, r.planes[e.Neighbour].Name)
	case e.Kind == Eave && e.Beyond >= 0:
		return fmt.Sprintf("the eave of plane %q lies over or under plane %q, where no ladder reaches", name, r.planes[e.Beyond].Name)
	case e.Kind == HighEave && e.Beyond >= 0:
		return fmt.Sprintf("%s plane %q lies under or against plane %q, and not at a ridge", where, name, r.planes[e.Beyond].Name)
	case e.Kind == HighEave || e.Kind == Eave:
		return fmt.Sprintf("%s plane %q has an open edge inside the roof", where, name)
	}
	return fmt.Sprintf("plane %q ends against a %s %s, not at %s", name, e.Kind, where, map[bool]string{true: "a ridge", false: "an eave"}[where == "at its top"])
}

// whyNoCorner says why a way neither begins nor ends at a corner.
func (r *Roof) whyNoCorner(s *slope, as role) string {
	up, which := 1.0, "highest"
	if as == start {
		up, which = -1, "lowest"
	}
	at := 0
	for k, m := range s.ring {
		if up*(m.to.Y-s.ring[at].to.Y) > 0 {
			at = k
		}
	}
	in, out := s.ring[at].edge, s.ring[(at+1)%len(s.ring)].edge
	return fmt.Sprintf("the %s corner of %s, between a %s and a %s, is not free", which, r.named(s.flat.planes), in.Kind, out.Kind)
}
