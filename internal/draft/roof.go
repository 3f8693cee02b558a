package draft

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// corner is a corner of a plane in plan, in metres: along the front from its
// left end, seen from before it, and from the front to the back.
type corner struct{ along, back float64 }

// plane is a roof plane that follows from the dimensions of the roof.
type plane struct {
	name    string
	corners []corner // from the left end of its lowest edge on, seen looking up the slope
	slope   string   // as the answer says it
	turn    float64  // its downslope from that of the front, in degrees clockwise
	rise    float64  // of its lowest edge above the eave, in metres
}

// planesOf draws the planes of a roof. The answers are well-formed; the faults
// are those of dimensions that make no roof together.
func planesOf(a Answers) ([]plane, source.Faults) {
	length, _ := lengthOf(a.of("length"))
	width, _ := lengthOf(a.of("width"))
	l, w, slope := length.SI, width.SI, pitch(a.of("slope"))
	rectangle := func(from, to float64) []corner { return []corner{{0, from}, {l, from}, {l, to}, {0, to}} }
	turned := func(from, to float64) []corner { return []corner{{l, from}, {0, from}, {0, to}, {l, to}} }
	var faults source.Faults
	if a.of("roof") != flat && a.of("roof") != gambrel && !(slopeOf(slope) > 0) {
		faults = append(faults, fault("slope", fmt.Sprintf("%q is level, and a %s roof is not", slope, a.of("roof")), "more than zero is expected"))
	}
	switch a.of("roof") {
	case gable:
		return []plane{
			{name: "front", corners: rectangle(0, w/2), slope: slope},
			{name: "back", corners: turned(w, w/2), slope: slope, turn: 180},
		}, faults
	case hip:
		return hipped(l, w, slope), faults
	case gambrel:
		return gambrelled(a, rectangle, turned, w)
	}
	return []plane{{name: "roof", corners: rectangle(0, w), slope: slope}}, faults
}

// hipped are the planes of a hip roof of one slope: hips run at 45 degrees in
// plan, so that the ridge is as far from each eave as half of the shorter side.
func hipped(l, w float64, slope string) []plane {
	in := min(l, w) / 2
	nearLeft, nearRight := corner{in, in}, corner{l - in, in} // ends of the ridge, of which two and two are one
	farLeft, farRight := corner{in, w - in}, corner{l - in, w - in}
	up := func(eave []corner, ends ...corner) []corner {
		for _, c := range ends {
			if last := eave[len(eave)-1]; math.Hypot(c.along-last.along, c.back-last.back) > 1e-9 {
				eave = append(eave, c)
			}
		}
		return eave
	}
	return []plane{
		{name: "front", corners: up([]corner{{0, 0}, {l, 0}}, nearRight, nearLeft), slope: slope},
		{name: "right", corners: up([]corner{{l, 0}, {l, w}}, farRight, nearRight), slope: slope, turn: -90},
		{name: "back", corners: up([]corner{{l, w}, {0, w}}, farLeft, farRight), slope: slope, turn: 180},
		{name: "left", corners: up([]corner{{0, w}, {0, 0}}, nearLeft, farLeft), slope: slope, turn: 90},
	}
}

// gambrelled are the planes of a gambrel roof, the same before and behind.
func gambrelled(a Answers, rectangle, turned func(from, to float64) []corner, w float64) ([]plane, source.Faults) {
	var faults source.Faults
	breaks, _ := lengthOf(a.of("break"))
	lower, upper := pitch(a.of("lower-slope")), pitch(a.of("upper-slope"))
	if !(breaks.SI < w/2) {
		faults = append(faults, fault("break", fmt.Sprintf("%q is no less than half of the width of the roof", a.of("break")), "the distance from the eave to the break, short of the ridge, is expected"))
	}
	if !(slopeOf(upper) > 0) {
		faults = append(faults, fault("upper-slope", fmt.Sprintf("%q is level, and a gambrel roof is not", upper), "more than zero is expected"))
	}
	if !(slopeOf(lower) > slopeOf(upper)) {
		faults = append(faults, fault("lower-slope", fmt.Sprintf("%q is no steeper than the upper slope, %q", lower, upper), "the steeper of the two is expected"))
	}
	rise := breaks.SI * math.Tan(slopeOf(lower)*math.Pi/180)
	return []plane{
		{name: "lower front", corners: rectangle(0, breaks.SI), slope: lower},
		{name: "upper front", corners: rectangle(breaks.SI, w/2), slope: upper, rise: rise},
		{name: "upper back", corners: turned(w-breaks.SI, w/2), slope: upper, turn: 180, rise: rise},
		{name: "lower back", corners: turned(w, w-breaks.SI), slope: lower, turn: 180},
	}, faults
}

// onTwelve is a slope as carpenters write and say it: 6/12, 6 in 12, 6 on 12.
var onTwelve = regexp.MustCompile(`^(\d+(?:\.\d+)?|\d+ \d+/\d+|\d+/\d+)(?:\s*/\s*|\s+(?:in|on)\s+)12$`)

// pitch is a slope as a job writes it.
func pitch(answer string) string {
	return onTwelve.ReplaceAllString(strings.TrimSpace(answer), "$1:12")
}

// extent is how wide a plane is and how far it is from its eave to its ridge, in
// metres on its surface.
func (p *plane) extent() (across, up float64) {
	low, high := p.corners[0], p.corners[0]
	for _, c := range p.corners {
		low = corner{min(low.along, c.along), min(low.back, c.back)}
		high = corner{max(high.along, c.along), max(high.back, c.back)}
	}
	across, up = high.along-low.along, high.back-low.back
	if p.turn == 90 || p.turn == -90 {
		across, up = up, across
	}
	return across, up / math.Cos(slopeOf(p.slope)*math.Pi/180)
}

// slopeOf is a slope in degrees.
func slopeOf(answer string) float64 {
	v, _ := quantity.Parse(answer, quantity.Angle) // what is wrong with it is said before
	return v.SI
}

// outline is a plane's outline on the ground, x to the east and y to the north,
// as a job writes it. front is the bearing that the front faces.
func (p *plane) outline(front float64, unit string) string {
	right, back := direction(front-90), direction(front+180)
	text := "["
	for i, c := range p.corners {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("[%s, %s]",
			job.Quote(written(c.along*right.along+c.back*back.along, unit)),
			job.Quote(written(c.along*right.back+c.back*back.back, unit)))
	}
	return text + "]"
}

// direction is the way a bearing points, its part to the east before that to the
// north. Those of the four quarters are whole.
func direction(bearing float64) corner {
	if math.Mod(bearing, 90) == 0 {
		switch int(math.Mod(bearing+720, 360)) {
		case 0:
			return corner{0, 1}
		case 90:
			return corner{1, 0}
		case 180:
			return corner{0, -1}
		}
		return corner{-1, 0}
	}
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	return corner{sin, cos}
}

// unitOf is the unit that lengths beside a value are written in.
func unitOf(v quantity.Value) string {
	if system, told := v.System(); told && system == quantity.SI {
		return "m"
	}
	return "ft"
}

// written is a length in a unit, with digits enough to tell it from any other
// within the tolerance of a limit.
func written(metres float64, unit string) string {
	return number(metres/map[string]float64{"m": 1, "ft": 0.3048}[unit]) + " " + unit
}

// taped is a length as a tape shows it, to a sixteenth of an inch or a
// millimetre below, so that what a message names is never too much.
func taped(metres float64, unit string) string {
	if unit == "m" {
		return fmt.Sprintf("%.3f m", math.Floor(metres*1000+1e-6)/1000)
	}
	const perFoot = 12 * 16
	sixteenths := int(math.Floor(metres/quantity.Inch*16 + 1e-6))
	var parts []string
	if feet := sixteenths / perFoot; feet > 0 {
		parts = append(parts, fmt.Sprintf("%d ft", feet))
	}
	inches, over, of := sixteenths%perFoot/16, sixteenths%16, 16
	for over > 0 && over%2 == 0 {
		over, of = over/2, of/2
	}
	switch {
	case over > 0 && inches > 0:
		parts = append(parts, fmt.Sprintf("%d %d/%d in", inches, over, of))
	case over > 0:
		parts = append(parts, fmt.Sprintf("%d/%d in", over, of))
	case inches > 0 || len(parts) == 0:
		parts = append(parts, fmt.Sprintf("%d in", inches))
	}
	return strings.Join(parts, " ")
}

// number writes a number without the noise of its last digits.
func number(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e9)/1e9+0, 'f', -1, 64)
}

// bearing is a bearing as a job writes it, from 0 to below 360 degrees.
func bearing(degrees float64) string {
	return job.Quote(number(math.Mod(degrees+720, 360)) + " deg")
}
