package layout

// Clamp is a foot that holds one module by one of its sides.
type Clamp struct {
	Foot, Module int
	// AlongRow tells that the side runs along the row: the short one in portrait.
	AlongRow bool
	// Corner is the distance along that side from the nearer corner, m; zero for a
	// foot beside the corner, which grips the corner itself.
	Corner float64
}

// Clamps gives, for a mounting whose feet hold the frames themselves, each pair
// of a foot and a module that it holds, by module. A foot between two modules
// holds both, one at a crossing of gaps up to four. On rails, whose feet hold no
// frame, there is none.
//
// off are the feet that stand below a module farther from all its sides than a
// foot reaches, so that they hold no frame.
func (s *Supports) Clamps() (clamps []Clamp, off []int) {
	if s.Mount.Support != Seams {
		return nil, nil
	}
	below, holds := make([]bool, len(s.Feet)), make([]bool, len(s.Feet))
	for m := range s.Array.Modules {
		rect := s.Array.Modules[m].Rect
		for _, f := range s.FeetUnder(m) {
			c, ok := rect.grip(s.Array.Frame.ToArray(s.Feet[f].At), s.Mount.reach())
			below[f] = true
			if ok {
				holds[f] = true
				c.Foot, c.Module = f, m
				clamps = append(clamps, c)
			}
		}
	}
	for f := range s.Feet {
		if below[f] && !holds[f] {
			off = append(off, f)
		}
	}
	return clamps, off
}

// grip tells how a foot holds a module: by the side that it is nearest to, if
// that lies within reach. One above or below the module, as the lines of feet
// stand, holds the side along the row.
func (r Rect) grip(foot Point, reach float64) (Clamp, bool) {
	fromLeft, fromRight := foot.X-r.Min.X, r.Max.X-foot.X
	fromBottom, fromTop := foot.Y-r.Min.Y, r.Max.Y-foot.Y
	across, along := min(fromLeft, fromRight), min(fromBottom, fromTop)
	if min(across, along) > reach+touch {
		return Clamp{}, false
	}
	if along <= max(across, touch) {
		return Clamp{AlongRow: true, Corner: max(0, across)}, true
	}
	return Clamp{Corner: max(0, along)}, true
}

// RailClamp is a module clamp on a rail: the modules on either side of it, and
// the area of each that it holds down, half of what the module lays on the rail.
// At the end of a rail there is one module only, and -1 for the other.
type RailClamp struct {
	Modules [2]int
	Areas   [2]float64
}

// RailClamps gives the clamps of every rail with feet, one at each end of its
// run of modules and one between each two; other mountings have none.
func (s *Supports) RailClamps() []RailClamp {
	if s.Mount.Support != Rails {
		return nil
	}
	var clamps []RailClamp
	for r, strips := range s.Strips() {
		for k := range strips {
			half := max(0, strips[k].Depth) * (strips[k].To - strips[k].From) / 2
			m := s.Runs[r].Modules[k]
			if k == 0 {
				clamps = append(clamps, RailClamp{Modules: [2]int{-1, -1}})
			}
			left := &clamps[len(clamps)-1]
			left.Modules[1], left.Areas[1] = m, half
			clamps = append(clamps, RailClamp{[2]int{m, -1}, [2]float64{half, 0}})
		}
	}
	return clamps
}
