package roofplan

import (
	"math"
	"math/cmplx"
	"math/rand"
	"slices"
	"testing"
)

// gateNames are the names of what stands on both sides of the gate in alphabetical order. Edges are not told apart: two of them meet in a corner.
func gateNames(p Path) [2]string {
	name := func(at Place) string {
		if at.Item >= 0 {
			return at.Name
		}
		return "edge"
	}
	a, b := name(p.Gate.A), name(p.Gate.B)
	return [2]string{min(a, b), max(a, b)}
}

// split cuts a plane of the scene in two along a line in plan view; false when the line does not cut it in two parts of some size. Things on it go
// to the part that holds them, and none may lie on the line.
func (s *rasterScene) split(plane int, through, along complex128) bool {
	P := s.planes[plane]
	side := func(z complex128) float64 { return imag((z - through) * cmplx.Conj(along)) }
	var left, right []complex128
	crossed := 0
	for i, a := range P.outline {
		b := P.outline[(i+1)%len(P.outline)]
		if math.Abs(side(a)) < 0.3 {
			return false
		}
		if side(a) > 0 {
			left = append(left, a)
		} else {
			right = append(right, a)
		}
		if side(a)*side(b) < 0 {
			crossed++
			z := a + (b-a)*complex(side(a)/(side(a)-side(b)), 0)
			left, right = append(left, z), append(right, z)
		}
	}
	if crossed != 2 {
		return false
	}
	k := len(s.planes)
	for i := range s.things {
		g := &s.things[i]
		if g.plane != plane {
			continue
		}
		if d := side(P.plan(g.c)); math.Abs(d) < g.reach()+0.05 {
			return false
		} else if d < 0 {
			g.plane = k
		}
	}
	s.planes[plane].outline = left
	s.planes = append(s.planes, rasterPlane{P.name + " too", right, P.slope, P.bearing})
	s.set = append(s.set, k)
	return true
}

// copied is the scene with lists of its own.
func (s *rasterScene) copied() *rasterScene {
	c := *s
	c.planes = slices.Clone(s.planes)
	for i := range c.planes {
		c.planes[i].outline = slices.Clone(c.planes[i].outline)
	}
	c.set, c.things = slices.Clone(s.set), slices.Clone(s.things)
	return &c
}

// How a roof is drawn does not change its ways: a slope in two parts, the order of planes and of the set, where the drawing lies and which way it is
// turned.
func TestWaysDoNotDependOnTheDrawing(t *testing.T) {
	splits := 0
	for seed := range few(64) {
		rng := rand.New(rand.NewSource(int64(5000 + seed)))
		s := rasterScenes[seed%len(rasterScenes)](rng)
		s.scatter(rng, 4+rng.Intn(6*len(s.set)))
		roof, items := s.roof(t)
		want, err := roof.Path(s.set, items, crew)
		if err != nil {
			t.Fatalf("roof %d, %s: %v", seed, s.kind, err)
		}
		check := func(how string, s *rasterScene) {
			t.Helper()
			roof, items := s.roof(t)
			got, err := roof.Path(s.set, items, crew)
			switch {
			case err != nil:
				t.Errorf("roof %d, %s, %s: %v", seed, s.kind, how, err)
			case math.Abs(got.Widest-want.Widest) > 1e-6*max(1, want.Widest):
				t.Errorf("roof %d, %s, %s: widest %.9f, else %.9f (gates %v and %v)", seed, s.kind, how, got.Widest, want.Widest, gateNames(got), gateNames(want))
			case gateNames(got) != gateNames(want):
				t.Errorf("roof %d, %s, %s: gate %v, else %v", seed, s.kind, how, gateNames(got), gateNames(want))
			case (got.Next == nil) != (want.Next == nil):
				t.Errorf("roof %d, %s, %s: next best way %v, else %v", seed, s.kind, how, got.Next, want.Next)
			case got.Next != nil && math.Abs(got.Next.Widest-want.Next.Widest) > 1e-6*max(1, want.Next.Widest):
				t.Errorf("roof %d, %s, %s: next best %.9f, else %.9f", seed, s.kind, how, got.Next.Widest, want.Next.Widest)
			}
		}
		turned := s.copied()
		turned.turned(rng)
		check("turned, shifted and in another order", turned)

		swapped := s.copied()
		slices.Reverse(swapped.planes)
		last := len(swapped.planes) - 1
		for i := range swapped.set {
			swapped.set[i] = last - swapped.set[i]
		}
		for i := range swapped.things {
			swapped.things[i].plane = last - swapped.things[i].plane
		}
		check("planes in reverse order", swapped)

		mirrored := s.copied()
		for i := range mirrored.planes {
			p := &mirrored.planes[i]
			for k, z := range p.outline {
				p.outline[k] = complex(-real(z), imag(z))
			}
			slices.Reverse(p.outline)
			p.bearing = -p.bearing
		}
		for i := range mirrored.things {
			g := &mirrored.things[i]
			P, Q := s.planes[g.plane], mirrored.planes[g.plane]
			z := P.plan(g.c)
			g.c = Q.local(complex(-real(z), imag(z)))
			g.turn = -g.turn
		}
		check("mirrored", mirrored)

		for range 20 {
			cut := s.copied()
			k := cut.set[rng.Intn(len(cut.set))]
			o := cut.planes[k].outline
			through := o[rng.Intn(len(o))]*complex(0.5, 0) + o[rng.Intn(len(o))]*complex(0.5, 0)
			along := []complex128{1, 1i, cmplx.Rect(1, rng.Float64()*7)}[rng.Intn(3)]
			if cut.split(k, through, along) {
				check("one plane in two parts", cut)
				splits++
				break
			}
		}
	}
	if splits < few(25) {
		t.Errorf("only %d roofs were drawn with a plane in two parts", splits)
	}
}
