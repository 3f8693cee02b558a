package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"plumbrule/internal/terms/plan"
)

// svgChain is a row of dimensions to be drawn: the places of its stops on the
// sheet, which lie on one line, and the text of each part.
type svgChain struct {
	stops []svgPoint
	texts []string
	from  float64 // distance from the stops at which the lines to them begin
}

const (
	chainOff   = 17.0 // of the first row of dimensions from the roof
	chainPitch = 20.0 // between rows of dimensions
	chainPast  = 3.0  // the lines to the stops run on past the row
)

// chains writes where the arrays of each plane lie, along the rows and up the
// slope, and how their feet stand along the lowest line.
func (p *roofPlan) chains() {
	for i := range p.d.Planes {
		plane := &p.d.Planes[i]
		var on []*plan.DrawnArray
		for k := range p.d.Arrays {
			if a := &p.d.Arrays[k]; a.Plane == plane.Name && a.Size != nil {
				on = append(on, a)
			}
		}
		if len(on) == 0 {
			continue
		}
		p.offsets(plane, on, func(a *plan.DrawnArray) (plan.Chain, plan.Chain) { return a.Size.Across, a.Size.Up })
		p.offsets(plane, on, func(a *plan.DrawnArray) (plan.Chain, plan.Chain) { return a.Size.Up, a.Size.Across })
		if !p.coarse {
			for _, a := range on {
				p.footChain(a)
			}
		}
	}
}

// arrayAlong is an array in a row of dimensions: its stops by their distance
// along the row.
type arrayAlong struct {
	at     []float64
	first  int
	length float64 // metres on the surface for a point on the sheet
}

// offsets draws the places of arrays in rows of dimensions beside the plane:
// those that stand side by side in one row, others in a further one.
func (p *roofPlan) offsets(plane *plan.DrawnPlane, on []*plan.DrawnArray, get func(*plan.DrawnArray) (along, other plan.Chain)) {
	first, other := get(on[0])
	base := p.at(first.Stops[first.First])
	end := p.at(first.Stops[first.First+1])
	l := math.Hypot(end.x-base.x, end.y-base.y)
	if l == 0 {
		return
	}
	ux, uy := (end.x-base.x)/l, (end.y-base.y)/l
	far := p.at(other.Stops[other.First+1])
	nx, ny := base.x-far.x, base.y-far.y // away from the array, made square to the row
	dot := nx*ux + ny*uy
	nx, ny = nx-dot*ux, ny-dot*uy
	l = math.Hypot(nx, ny)
	if l == 0 {
		return
	}
	nx, ny = nx/l, ny/l
	along := func(q svgPoint) float64 { return (q.x-base.x)*ux + (q.y-base.y)*uy }
	out := func(q svgPoint) float64 { return (q.x-base.x)*nx + (q.y-base.y)*ny }

	var list []arrayAlong
	for _, a := range on {
		chain, _ := get(a)
		k := arrayAlong{first: chain.First}
		for _, s := range chain.Stops {
			k.at = append(k.at, along(p.at(s)))
		}
		from, to := chain.Stops[chain.First], chain.Stops[chain.First+1]
		k.length = chain.Lengths[chain.First] / math.Max(1e-9, math.Abs(along(p.at(to))-along(p.at(from))))
		list = append(list, k)
	}
	slices.SortStableFunc(list, func(a, b arrayAlong) int { return cmp.Compare(a.at[a.first], b.at[b.first]) })
	var rows [][]arrayAlong
next:
	for _, k := range list {
		for i, row := range rows {
			last := row[len(row)-1]
			same := math.Abs(last.at[last.first]-k.at[k.first]) < 0.05 && math.Abs(last.at[last.first+1]-k.at[k.first+1]) < 0.05
			if same && len(last.at) == len(k.at) {
				continue next // it lies above or beside one that has these dimensions
			}
			if last.at[last.first+1] <= k.at[k.first]+0.05 {
				rows[i] = append(row, k)
				continue next
			}
		}
		rows = append(rows, []arrayAlong{k})
	}
	edge := math.Inf(-1)
	for _, q := range p.all(plane.Outline) {
		edge = math.Max(edge, out(q))
	}
	drawn := 0
	for _, row := range rows {
		var at []float64
		for i, k := range row {
			if i == 0 {
				at = append(at, k.at[:k.first]...)
			}
			at = append(at, k.at[k.first], k.at[k.first+1])
			if i == len(row)-1 {
				at = append(at, k.at[k.first+2:]...)
			}
		}
		// Beside the roof, or just below the array where another plane lies there.
		off := edge + chainOff + chainPitch*float64(drawn)
		mid := (at[0] + at[len(at)-1]) / 2
		if p.onRoof(base.plus(ux*mid+nx*off, uy*mid+ny*off)) {
			off = chainOff * 0.8
		}
		chain := svgChain{from: math.Min(2, off)}
		for i, t := range at {
			chain.stops = append(chain.stops, base.plus(ux*t, uy*t))
			if i > 0 {
				chain.texts = append(chain.texts, tape((t-at[i-1])*row[0].length, p.r.System))
			}
		}
		p.chain(chain, nx, ny, off)
		drawn++
	}
}

func (p *roofPlan) onRoof(q svgPoint) bool {
	for i := range p.d.Planes {
		if within(p.all(p.d.Planes[i].Outline), q) {
			return true
		}
	}
	return false
}

// footChain draws the feet of the lowest line of an array below it: the first
// offset, the spacing and what is left at the end.
func (p *roofPlan) footChain(a *plan.DrawnArray) {
	f := a.Size.Feet
	if len(f.Stops) < 3 {
		return
	}
	up := a.Size.Up
	low, high := p.at(up.Stops[up.First]), p.at(up.Stops[up.First+1])
	l := math.Hypot(low.x-high.x, low.y-high.y)
	if l == 0 {
		return
	}
	nx, ny := (low.x-high.x)/l, (low.y-high.y)/l
	n := len(f.Stops)
	var chain svgChain
	if a.Size.Even > 0 && n > 4 {
		for _, i := range []int{0, 1, n - 2, n - 1} {
			chain.stops = append(chain.stops, p.at(f.Stops[i]))
		}
		spaces := n - 3
		chain.texts = []string{
			tape(f.Lengths[0], p.r.System),
			fmt.Sprintf("%d x %s = %s", spaces, tape(a.Size.Even, p.r.System), tape(a.Size.Even*float64(spaces), p.r.System)),
			tape(f.Lengths[n-2], p.r.System),
		}
	} else {
		for i, s := range f.Stops {
			chain.stops = append(chain.stops, p.at(s))
			if i > 0 {
				chain.texts = append(chain.texts, tape(f.Lengths[i-1], p.r.System))
			}
		}
	}
	// The row stands clear of the lower edge of the array.
	inside := (low.x-chain.stops[0].x)*nx + (low.y-chain.stops[0].y)*ny
	chain.from = math.Max(0, inside+1.5)
	p.chain(chain, nx, ny, inside+chainOff*0.8)
}

// chain draws one row of dimensions at a distance from its stops. A text that
// does not fit between its stops, or would lie over another, stands on the other
// side of the row, and is noted where there is no room at all.
func (p *roofPlan) chain(c svgChain, nx, ny, off float64) {
	p.shown["chain"] = true
	style := svgStroke(inkThin, 0.5, "")
	var rest []string
	at := make([]svgPoint, len(c.stops))
	for i, s := range c.stops {
		at[i] = s.plus(nx*off, ny*off)
		p.body.line(s.plus(nx*c.from, ny*c.from), s.plus(nx*(off+chainPast), ny*(off+chainPast)), svgStroke(inkThin, 0.35, ""))
		p.body.line(at[i].plus(-2, 2), at[i].plus(2, -2), svgStroke(inkLine, 0.9, ""))
	}
	p.body.line(at[0], at[len(at)-1], style)
	p.lanes = append(p.lanes, lane(at[0], at[len(at)-1]))
	p.placer.stroke(at[0], at[len(at)-1], 1)
	turn := math.Atan2(at[len(at)-1].y-at[0].y, at[len(at)-1].x-at[0].x) * 180 / math.Pi
	turn = upright(turn)
	sin, cos := math.Sincos(turn * math.Pi / 180)
	for i, text := range c.texts {
		a, b := at[i], at[i+1]
		mid := svgPoint{(a.x + b.x) / 2, (a.y + b.y) / 2}
		room := math.Hypot(b.x-a.x, b.y-a.y)
		written := false
		for _, lift := range []float64{2.2, -8.6} {
			if lift > 0 && svgWidth(text, sizeText, false) > room-3 {
				continue
			}
			for _, shift := range []float64{0, -0.5, 0.5} {
				slide := shift * (svgWidth(text, sizeText, false) + room)
				t := svgText{at: mid.plus(sin*lift+cos*slide, -cos*lift+sin*slide), text: text, size: sizeText, anchor: "middle", turn: turn, halo: true}
				if shift != 0 && lift > 0 || !p.placer.free(t.box().grown(0.6)) || !p.placer.area.holds(t.box()) {
					continue
				}
				p.placer.take(t.box())
				p.top.text(t)
				written = true
				break
			}
			if written {
				break
			}
		}
		if !written {
			rest = append(rest, text)
		}
	}
	p.unwritten = append(p.unwritten, rest...)
}

// lane is the room of a row of dimensions, in which no other may lie.
// Rows may meet end to end.
func lane(a, b svgPoint) svgBox {
	const half = 7.0
	l := math.Max(1, math.Hypot(b.x-a.x, b.y-a.y))
	k := math.Min(half+1, l/2) / l
	dx, dy := k*(b.x-a.x), k*(b.y-a.y)
	return boundsOf([]svgPoint{a.plus(dx, dy), b.plus(-dx, -dy)}).grown(half)
}

// upright turns a direction so that text along it is not upside down.
func upright(turn float64) float64 {
	if turn > 90.001 {
		turn -= 180
	}
	if turn <= -89.999 {
		turn += 180
	}
	return turn
}
