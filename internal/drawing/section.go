package drawing

import (
	"fmt"
	"io"
	"math"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/terms/plan"
)

// AttachmentSection draws a section through a foot for each way in which the
// arrays of a job are fixed, a sheet each: module, rail, foot, covering, deck,
// fastener and member, to scale where the job states sizes. What it does not
// state is drawn in dashes and named.
func AttachmentSection(w io.Writer, r *review.Review, o Options) error {
	d := newSVGDrawing(r, "section", "Attachment section")
	list := plan.Sections(r.Model)
	for i := range list {
		s := &sectionSheet{svgDrawing: d, s: &list[i]}
		s.draw(d.sheet.height * float64(i))
		d.extra = append(d.extra, "Section "+sectionName(i, len(list))+" is for "+arraysNamed(list[i].Arrays)+".")
	}
	d.sheets = max(1, len(list))
	d.note = "square to the framing member, sizes of the job to scale"
	if len(list) == 0 {
		d.note = "no foot is fixed to a roof"
		d.extra = append(d.extra, "No array of the job has feet that are fixed to a roof.")
		d.body.text(svgText{at: d.sheet.field().centre(), text: "No array of the job has feet that are fixed to a roof.", size: sizeHead, anchor: "middle"})
	}
	_, err := w.Write(d.write(o, sectionDefs))
	return err
}

func arraysNamed(names []string) string {
	if len(names) == 1 {
		return "array " + names[0]
	}
	return "arrays " + strings.Join(names, ", ")
}

func sectionName(i, n int) string { return fmt.Sprintf("%d of %d", i+1, n) }

// sectionDefs is the hatch of wood that is cut across its grain.
var sectionDefs = hatch("section-wood", 7, 45, inkTimber, 0.25, false)

// sectionSheet is the section of one kind of foot in the making.
type sectionSheet struct {
	*svgDrawing
	s     *plan.Section
	zero  svgPoint // on top of the deck, in the line of the fastener
	scale float64  // points for a metre
	names []sectionLabel
	open  []string // what the job does not state
}

// sectionLabel is a text beside the section with the place that it names.
type sectionLabel struct {
	at   svgPoint
	text string
}

// Sizes that a job has no key for, or leaves out, in metres: only the picture
// needs them, and it says so.
const (
	drawnFrame = 0.035 // height of a module frame
	drawnRail  = 0.04
	drawnDeck  = 0.015
	drawnDepth = 0.14
	drawnWidth = 0.04
	drawnGap   = 0.1
	drawnPlate = 0.006
	drawnRib   = 0.025
	drawnShaft = 0.008
	drawnReach = 0.1
)

// usSections and siSections are usual scales of details.
var (
	usSections = []scaleStep{{2, "6 in = 1 ft"}, {3, "4 in = 1 ft"}, {4, "3 in = 1 ft"}, {8, "1 1/2 in = 1 ft"}, {12, "1 in = 1 ft"}, {24, "1/2 in = 1 ft"}}
	siSections = []scaleStep{{2, ""}, {2.5, ""}, {5, ""}, {10, ""}, {20, ""}, {50, ""}}
)

// or is a size of the job, or one for the picture where it is not stated.
func (p *sectionSheet) or(f plan.Figure, drawn float64, what string) (float64, bool) {
	if f.Known {
		return f.Metres, true
	}
	text := what
	if f.Key != "" {
		text += " (" + f.Key + ")"
	}
	p.open = append(p.open, text)
	return drawn, false
}

func (p *sectionSheet) at(x, y float64) svgPoint {
	return svgPoint{p.zero.x + x*p.scale, p.zero.y - y*p.scale}
}

func (p *sectionSheet) box(x0, y0, x1, y1 float64) []svgPoint {
	return []svgPoint{p.at(x0, y0), p.at(x1, y0), p.at(x1, y1), p.at(x0, y1)}
}

// shape draws a part; in dashes where its size is not stated.
func (p *sectionSheet) shape(points []svgPoint, fill string, width float64, stated bool) {
	dash := ""
	if !stated {
		dash = "4 2"
	}
	p.body.put(`<path d="%s" fill="%s" stroke="%s" stroke-width="%s"%s/>`, svgPath(true, points...), fill, inkLine, SvgNumber(width), dashed(dash))
}

func (p *sectionSheet) name(x, y float64, format string, a ...any) {
	p.names = append(p.names, sectionLabel{p.at(x, y), fmt.Sprintf(format, a...)})
}

func (p *sectionSheet) tape(metres float64) string { return tape(metres, p.r.System) }

// figure is a size in words, or that it is not stated.
func (p *sectionSheet) figure(f plan.Figure) string {
	if !f.Known {
		return "not stated"
	}
	return p.tape(f.Metres)
}

func (p *sectionSheet) draw(up float64) {
	s := p.s
	frame, frameKnown := p.or(s.Module, drawnFrame, "height of the module frame")
	gap, gapKnown := p.or(s.StandOff, drawnGap, "stand-off")
	rib := 0.0
	ribbed := s.Covering == "corrugated" || s.Covering == "trapezoidal"
	if ribbed {
		rib, _ = p.or(s.RibHeight, drawnRib, "height of the ribs")
	}
	stand := 0.0 // where the foot stands
	if ribbed && s.OnCrest {
		stand = rib
	}
	deck, deckKnown := p.or(s.Sheathing, drawnDeck, "thickness of the deck")
	width, widthKnown := p.or(s.Width, drawnWidth, "width of the member")
	depth, depthKnown := p.or(s.Depth, drawnDepth, "depth of the member")
	clamp := s.FastenerKind == "seam-clamp"
	plate, length, shaft, fastenerKnown := drawnPlate, drawnReach, drawnShaft, true
	if !clamp {
		var known [3]bool
		plate, known[0] = p.or(s.Plate, drawnPlate, "what the fastener passes before the deck")
		length, known[1] = p.or(s.Length, drawnReach, "length of the fastener")
		shaft, known[2] = p.or(s.Diameter, drawnShaft, "diameter of the fastener")
		fastenerKnown = known[0] && known[1] && known[2]
	}
	if s.Member == "deck" {
		width, widthKnown = 0.3, true
	}

	// The scale is the largest at which height and half width have room.
	field := p.sheet.field()
	top, bottom := math.Max(stand+0.12, gap+frame), math.Max(deck+depth, length-plate-stand)
	scales := usSections
	if p.r.System == quantity.SI {
		scales = siSections
	}
	step := scales[len(scales)-1]
	for _, k := range scales {
		if pt := pointsPerMetre / k.ratio; (top+bottom)*pt <= field.height()-140 && 0.24*pt <= field.width()*0.44 {
			step = k
			break
		}
	}
	p.scale = pointsPerMetre / step.ratio
	half := field.width() * 0.22 / p.scale
	p.zero = svgPoint{field.x0 + field.width()*0.39, up + field.y0 + 84 + top*p.scale}

	p.member(half, deck, width, depth, widthKnown && depthKnown)
	if deck > 0 && s.Member != "deck" {
		p.shape(p.box(-half, -deck, half, 0), "#efe6d3", 0.8, deckKnown)
		p.name(half*0.8, -deck/2, "deck: %s", p.figure(s.Sheathing))
	}
	p.covering(half, rib)
	p.module(half, gap, frame, gapKnown, frameKnown)
	p.foot(stand, plate, gap, clamp)
	if !clamp {
		p.fastener(stand+plate, length, shaft, fastenerKnown)
	}
	p.measures(up, half, gap, frame, deck, depth, stand+plate-length)
	p.caption(up, step)
}

// member draws the member below the deck: hatched wood, or a channel of steel.
func (p *sectionSheet) member(half, deck, width, depth float64, known bool) {
	s := p.s
	name := joinKnown(" ", map[bool]string{true: "wood", false: "steel"}[s.Wood], s.Member)
	switch {
	case s.Member == "":
		p.open = append(p.open, "what the member is")
		name = "member not stated"
	case s.Member == "deck":
		p.shape(p.box(-half, -depth, half, 0), "#efe6d3", 0.9, known)
		p.name(half*0.8, -depth/2, "deck, depth: %s", p.figure(s.Depth))
		return
	}
	if s.Wood || s.Member == "" {
		box := p.box(-width/2, -deck-depth, width/2, -deck)
		p.shape(box, "#f6efe0", 1.2, known)
		p.body.put(`<path d="%s" fill="url(#section-wood)"/>`, svgPath(true, box...))
	} else {
		wall := math.Max(s.Wall.Metres, 1.2/p.scale)
		p.shape([]svgPoint{p.at(-width/2, -deck), p.at(width/2, -deck), p.at(width/2, -deck-wall), p.at(-width/2+wall, -deck-wall), p.at(-width/2+wall, -deck-depth+wall),
			p.at(width/2, -deck-depth+wall), p.at(width/2, -deck-depth), p.at(-width/2, -deck-depth)}, inkThin, 0.6, known)
	}
	text := fmt.Sprintf("%s: width %s, depth %s", name, p.figure(s.Width), p.figure(s.Depth))
	if !s.Wood && s.Member != "" {
		text += ", wall " + p.fine(s.Wall)
	}
	p.name(width/2, -deck-depth*0.7, "%s; centres apart: %s", text, p.figure(s.MemberSpacing))
}

// fine is a thickness of sheet, which no tape shows.
func (p *sectionSheet) fine(f plan.Figure) string {
	if !f.Known {
		return "not stated"
	}
	if p.r.System == quantity.SI {
		return fmt.Sprintf("%.2f mm", f.Metres*1000)
	}
	return fmt.Sprintf("%.4f in", f.Metres/quantity.Inch)
}

// covering draws the roofing above the deck.
func (p *sectionSheet) covering(half, rib float64) {
	s := p.s
	switch s.Covering {
	case "corrugated", "trapezoidal":
		pitch, _ := p.or(s.RibPitch, 0.3, "distance between ribs")
		first := 0.0
		if !s.OnCrest {
			first = pitch / 2
		}
		top, foot := math.Min(pitch*0.16, rib*1.1), math.Min(pitch*0.4, rib*2.2)
		// The sheet runs along the line from left to right, up and down its ribs.
		points := []svgPoint{p.at(-half, 0)}
		for k := math.Ceil((-half - first) / pitch); first+k*pitch < half; k++ {
			x := first + k*pitch
			for _, q := range [4][2]float64{{-foot / 2, 0}, {-top / 2, rib}, {top / 2, rib}, {foot / 2, 0}} {
				if math.Abs(x+q[0]) < half {
					points = append(points, p.at(x+q[0], q[1]))
				}
			}
		}
		points = append(points, p.at(half, 0))
		p.body.put(`<path d="%s" %s/>`, svgPath(false, points...), svgStroke(inkText, 1.6, ""))
		p.name(half*0.9, 0, "%s sheet %s, ribs %s high, %s apart", s.Covering, p.fine(s.Sheet), p.figure(s.RibHeight), p.figure(s.RibPitch))
	case "standing-seam":
		p.body.line(p.at(-half, 0), p.at(half, 0), svgStroke(inkText, 1.6, ""))
		p.body.line(p.at(0, 0), p.at(0, 0.05), svgStroke(inkText, 1.8, ""))
		p.name(half*0.9, 0, "standing-seam sheet %s, seams %s apart", p.fine(s.Sheet), p.figure(s.RibPitch))
	case "":
		p.open = append(p.open, "what the covering is")
		p.body.line(p.at(-half, 0), p.at(half, 0), svgStroke(inkText, 1.2, "5 2"))
		p.name(half*0.9, 0, "covering not stated")
	default:
		p.body.line(p.at(-half, 0), p.at(half, 0), svgStroke(inkText, 2.2, ""))
		p.name(half*0.9, 0, "%s covering", strings.ReplaceAll(s.Covering, "-", " "))
	}
}

// module draws the edges of two modules over the foot and what holds them.
func (p *sectionSheet) module(half, gap, frame float64, gapKnown, frameKnown bool) {
	const joint = 0.012
	known := gapKnown && frameKnown
	p.shape(p.box(-half, gap, -joint/2, gap+frame), inkGlass, 1, known)
	p.shape(p.box(joint/2, gap, half, gap+frame), inkGlass, 1, known)
	p.body.line(p.at(-half, gap+frame), p.at(-joint/2, gap+frame), svgStroke(inkFrame, 2, ""))
	p.body.line(p.at(joint/2, gap+frame), p.at(half, gap+frame), svgStroke(inkFrame, 2, ""))
	p.shape(p.box(-0.022, gap+frame, 0.022, gap+frame+0.004), inkThin, 0.6, false)
	p.name(half*0.8, gap+frame*0.5, "module, height of frame: %s", p.figure(p.s.Module))
	p.name(0.018, gap+frame+0.002, "module clamp, in outline only")
}

// foot draws foot and rail in outline: a job has no sizes of them.
func (p *sectionSheet) foot(stand, plate, gap float64, clamp bool) {
	s := p.s
	rail := 0.0
	if s.MountingKind == "rail" {
		rail = math.Min(drawnRail, (gap-stand)*0.55)
		p.shape(p.box(-rail/2, gap-rail, rail/2, gap), inkPaper, 0.9, false)
		p.name(rail/2, gap-rail/2, "rail of %s, in outline only", s.Mounting)
	}
	base := math.Max(0.003, math.Min(plate, drawnPlate))
	if clamp {
		p.shape(p.box(-0.018, 0.008, 0.018, 0.05), inkZone3, 0.9, false)
		p.shape(p.box(-0.006, 0.05, 0.006, math.Max(0.055, gap-rail)), inkZone3, 0.9, false)
		p.name(0.018, 0.03, "%s: clamp on the seam, in outline only", wordOr(s.Fastener, "fastener not stated"))
		return
	}
	high := math.Max(base+0.02, gap-rail*0.3-stand)
	y := stand + plate - base
	p.shape([]svgPoint{p.at(-0.03, y), p.at(0.035, y), p.at(0.035, y+base), p.at(-rail/2-0.001, y+base), p.at(-rail/2-0.001, y+high), p.at(-rail/2-0.007, y+high), p.at(-rail/2-0.007, y+base), p.at(-0.03, y+base)}, inkZone3, 0.9, false)
	p.name(0.033, y+base/2, "foot of %s, in outline only; passed before the deck: %s; seal as its maker says (the job does not state it)", wordOr(s.Mounting, "a mounting not stated"), p.figure(s.Plate))
}

func wordOr(word, other string) string {
	if word == "" {
		return other
	}
	return word
}

// fastener draws head, shank and point from the underside of its head down.
func (p *sectionSheet) fastener(from, length, shaft float64, known bool) {
	s := p.s
	head := math.Max(s.Head.Metres, shaft*1.7)
	tip := math.Min(shaft, length/4)
	p.shape(p.box(-head/2, from, head/2, from+shaft*0.6), inkText, 0.5, known)
	p.shape([]svgPoint{p.at(-shaft/2, from), p.at(shaft/2, from), p.at(shaft/2, from-length+tip), p.at(0, from-length), p.at(-shaft/2, from-length+tip)}, inkText, 0.5, known)
	count := "number in a foot not stated"
	if s.Each > 0 {
		count = fmt.Sprintf("%d in each foot", s.Each)
	}
	p.name(shaft/2, from-length*0.72, "%s: %s, %s x %s, %s", wordOr(s.Fastener, "fastener not stated"), wordOr(strings.ReplaceAll(s.FastenerKind, "-", " "), "kind not stated"), p.figure(s.Diameter), p.figure(s.Length), count)
}

// measures writes the dimensions to the left of the section and the texts to
// its right.
func (p *sectionSheet) measures(up, half, gap, frame, deck, depth, tip float64) {
	s := p.s
	left := p.at(-half, 0).x - 16
	column := func(x, y0, y1 float64, size, what string) {
		a, b := svgPoint{x, p.at(0, y0).y}, svgPoint{x, p.at(0, y1).y}
		if math.Abs(a.y-b.y) < 0.5 {
			return
		}
		p.body.line(a, b, svgStroke(inkThin, 0.6, ""))
		for _, e := range [2]svgPoint{a, b} {
			p.body.line(e.plus(-4, 0), e.plus(10, 0), svgStroke(inkThin, 0.4, ""))
			p.body.line(e.plus(-2, 2), e.plus(2, -2), svgStroke(inkLine, 0.9, ""))
		}
		lines := append([]string{size}, svgWrap(what, sizeText, x-p.sheet.field().x0-10, false)...)
		for i, l := range lines {
			y := (a.y+b.y)/2 + 2.8 + lineHeight*(float64(i)-float64(len(lines)-1)/2)
			p.body.text(svgText{at: svgPoint{x - 6, y}, text: l, size: sizeText, anchor: "end"})
		}
	}
	column(left, gap, 0, p.figure(s.StandOff), "stand-off")
	switch {
	case s.FastenerKind == "seam-clamp":
	case s.Wood && s.Embedment.Known && s.Embedment.Metres > 0:
		column(left, -deck, tip, p.tape(s.Embedment.Metres), "in the member, tip included")
	case s.Out.Known && s.Out.Metres > 0:
		column(left, tip+s.Out.Metres, tip, p.tape(s.Out.Metres), "past the steel")
	case s.Embedment.Known && s.Embedment.Metres <= 0:
		column(left, -deck, -deck-depth, "none", "of the fastener is in the member")
	default:
		column(left, -deck, -deck-depth, "not stated", "in the member")
	}

	// The texts keep the order of their places from top to bottom.
	field := p.sheet.field()
	x := p.at(half, 0).x + 26
	width := field.x1 - 8 - x
	names := p.names
	for i := 1; i < len(names); i++ {
		for k := i; k > 0 && names[k].at.y < names[k-1].at.y; k-- {
			names[k], names[k-1] = names[k-1], names[k]
		}
	}
	const apart = 7.0
	heights, below := make([]float64, len(names)), 0.0
	for i, n := range names {
		heights[i] = lineHeight*float64(len(svgWrap(n.text, sizeText, width, false))) + apart
		below += heights[i]
	}
	// Each stands beside its place, or below the one above it, and none so low
	// that the rest had no room.
	y := up + field.y0 + 60
	for i, n := range names {
		lines := svgWrap(n.text, sizeText, width, false)
		y = math.Max(y, math.Min(n.at.y-heights[i]/2, up+field.y1-8-below))
		below -= heights[i]
		elbow := svgPoint{x - 14, y + lineHeight*float64(len(lines))/2}
		p.body.put(`<path d="%s" %s/>`, svgPath(false, n.at, elbow, svgPoint{x - 4, elbow.y}), svgStroke(inkThin, 0.5, ""))
		p.body.circle(n.at, 1.5, `fill="`+inkText+`"`)
		for k, l := range lines {
			p.body.text(svgText{at: svgPoint{x, y + 7.6 + lineHeight*float64(k)}, text: l, size: sizeText})
		}
		y += heights[i]
	}
}

// caption heads a section and notes what the job leaves open.
func (p *sectionSheet) caption(up float64, step scaleStep) {
	field, side := p.sheet.field(), p.sheet.side()
	ratio := "1:" + SvgNumber(step.ratio)
	if step.name != "" {
		ratio = step.name + " (" + ratio + ")"
	}
	title := "Section through a foot of " + arraysNamed(p.s.Arrays)
	p.body.text(svgText{at: svgPoint{field.x0 + 12, up + field.y0 + 24}, text: svgClip(title, sizeJob, field.width()-24, true), size: sizeJob, bold: true})
	p.body.text(svgText{at: svgPoint{field.x0 + 12, up + field.y0 + 38}, text: "scale " + ratio + " on " + p.sheet.name + "; spacing of feet along a line: " + p.figure(p.s.FootSpacing), size: sizeText, fill: inkSoft})
	p.body.line(svgPoint{side.x0, up + side.y0}, svgPoint{side.x0, up + side.y1}, svgStroke(inkThin, 0.6, ""))
	var entries []svgEntry
	var open []svgEntry
	for _, text := range p.open {
		open = append(open, svgParagraph(text, 0, nil))
	}
	entries = append(entries, headed("Not stated in the job", open...)...)
	entries = append(entries, noteEntries([]string{
		"Parts in dashes are drawn in outline: the job does not state their sizes.",
		"What the fasteners hold stands in the calculations.",
	})...)
	entries = append(entries, cautionEntries()...)
	y := up + side.y0 + 4
	for _, e := range entries {
		h, draw := e(side.width() - 16)
		if y+h > up+side.y1 {
			break
		}
		draw(&p.body, svgPoint{side.x0 + 8, y})
		y += h
	}
}
