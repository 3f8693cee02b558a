package pdf

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// node is an element of a drawing.
type node struct {
	name     string
	attrs    map[string]string
	text     string
	children []*node
}

// known lists the elements and attributes that drawings are made of. Anything
// else is refused, so that nothing is lost on the way without notice.
var known = map[string]string{
	"svg":      "xmlns width height viewBox role aria-labelledby font-family",
	"title":    "id",
	"desc":     "id",
	"defs":     "",
	"pattern":  "id width height patternUnits patternTransform",
	"clipPath": "id",
	"a":        "id class href",
	"g":        "id class clip-path transform " + paints,
	"path":     "class d clip-rule clip-path transform " + paints,
	"rect":     "class x y width height rx clip-path " + paints,
	"circle":   "class cx cy r clip-path " + paints,
	"text":     "class x y font-size font-weight text-anchor transform " + paints,
}

const paints = "fill fill-opacity fill-rule stroke stroke-width stroke-opacity stroke-dasharray stroke-linecap stroke-linejoin paint-order"

// readSVG reads a drawing, or says which element or attribute is not one of
// the project's own.
func readSVG(svg []byte) (*node, error) {
	in := xml.NewDecoder(bytes.NewReader(svg))
	root := &node{}
	open := []*node{root}
	for {
		token, err := in.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("drawing: %w", err)
		}
		top := open[len(open)-1]
		switch t := token.(type) {
		case xml.StartElement:
			allowed, ok := known[t.Name.Local]
			if !ok {
				return nil, fmt.Errorf("drawing: element <%s> cannot be set as PDF", t.Name.Local)
			}
			n := &node{name: t.Name.Local, attrs: map[string]string{}}
			for _, a := range t.Attr {
				if !strings.Contains(" "+allowed+" ", " "+a.Name.Local+" ") {
					return nil, fmt.Errorf("drawing: attribute %s of <%s> cannot be set as PDF", a.Name.Local, n.name)
				}
				n.attrs[a.Name.Local] = a.Value
			}
			top.children = append(top.children, n)
			open = append(open, n)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			top.text += string(t)
		}
	}
	if len(root.children) != 1 || root.children[0].name != "svg" {
		return nil, errors.New("drawing: not one <svg>")
	}
	return root.children[0], nil
}

// Drawing sets a drawing at its own size, a page for each of its sheets. Sheets
// stand below one another in the picture; its first rectangle is the paper of one.
func (d *Document) Drawing(title string, svg []byte) error {
	root, err := readSVG(svg)
	if err != nil {
		return err
	}
	box, err := numbers(root.attrs["viewBox"], 4)
	if err != nil {
		return err
	}
	width, height := box[2], 0.0
	for _, c := range root.children {
		if c.name == "rect" { // the first one is the paper of the first sheet
			height, _ = strconv.ParseFloat(c.attrs["height"], 64)
			break
		}
	}
	sheets := int(math.Round(box[3] / max(height, 1)))
	if sheets < 1 || math.Abs(box[3]-height*float64(sheets)) > 1 {
		return fmt.Errorf("drawing: a height of %g is no number of sheets of %g", box[3], height)
	}
	p := &painter{d: d, ids: map[string]*node{}, width: width}
	p.collect(root)
	for i := range sheets {
		d.out.AddPageFormat("P", fpdf.SizeType{Wd: width, Ht: height})
		d.drawn[d.out.PageNo()] = true
		if i == 0 {
			d.depth = 0
			d.bookmark(title, 0, 0)
		}
		p.height, p.up = height, height*float64(i)
		d.raw("q 0 0 %s %s re W n", num(width), num(height))
		if err := p.draw(root, style{fill: "#000000", stroke: "none", width: 1, fillOpacity: 1, strokeOpacity: 1}); err != nil {
			return err
		}
		d.raw("Q")
	}
	return nil
}

func (d *Document) raw(format string, a ...any) { d.out.RawWriteStr(fmt.Sprintf(format, a...) + "\n") }

func num(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }

// numbers reads a list of numbers, so many of them; 0 for any.
func numbers(s string, n int) ([]float64, error) {
	var out []float64
	for _, f := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' }) {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil {
			return nil, fmt.Errorf("drawing: %q is no number", f)
		}
		out = append(out, v)
	}
	if n > 0 && len(out) != n {
		return nil, fmt.Errorf("drawing: %q has not %d numbers", s, n)
	}
	return out, nil
}

// style is how shapes are painted; what an element does not say it has from
// the one around it.
type style struct {
	fill, stroke, dash, join, cap, rule string
	width, fillOpacity, strokeOpacity   float64
}

func (s style) of(n *node) (style, error) {
	var err error
	number := func(name string, into *float64) {
		if text, ok := n.attrs[name]; ok {
			v, bad := strconv.ParseFloat(text, 64)
			if bad != nil {
				err = fmt.Errorf("drawing: %s %q of <%s> is no number", name, text, n.name)
			}
			*into = v
		}
	}
	word := func(name string, into *string) {
		if text, ok := n.attrs[name]; ok {
			*into = text
		}
	}
	word("fill", &s.fill)
	word("stroke", &s.stroke)
	word("stroke-dasharray", &s.dash)
	word("stroke-linejoin", &s.join)
	word("stroke-linecap", &s.cap)
	word("fill-rule", &s.rule)
	number("stroke-width", &s.width)
	number("fill-opacity", &s.fillOpacity)
	number("stroke-opacity", &s.strokeOpacity)
	return s, err
}

// painter draws one sheet of a picture: the part from up on, as high as the
// page.
type painter struct {
	d             *Document
	ids           map[string]*node
	width, height float64
	up            float64
}

func (p *painter) collect(n *node) {
	if id := n.attrs["id"]; id != "" {
		p.ids[id] = n
	}
	for _, c := range n.children {
		p.collect(c)
	}
}

// referred is the element that url(#id) names.
func (p *painter) referred(url, kind string) (*node, error) {
	id := strings.TrimSuffix(strings.TrimPrefix(url, "url(#"), ")")
	if n := p.ids[id]; n != nil && n.name == kind {
		return n, nil
	}
	return nil, fmt.Errorf("drawing: %s is no %s of it", url, kind)
}

func (p *painter) draw(n *node, s style) error {
	switch n.name {
	case "title", "desc", "defs", "pattern", "clipPath":
		return nil
	}
	s, err := s.of(n)
	if err != nil {
		return err
	}
	clipped := n.attrs["clip-path"] != ""
	if clipped {
		clip, err := p.referred(n.attrs["clip-path"], "clipPath")
		if err != nil {
			return err
		}
		p.d.raw("q")
		for _, c := range clip.children {
			path, err := outline(c)
			if err != nil {
				return err
			}
			op := "W n"
			if c.attrs["clip-rule"] == "evenodd" {
				op = "W* n"
			}
			p.d.raw("%s %s", p.flipped(path), op)
		}
	}
	switch n.name {
	case "path", "rect", "circle":
		err = p.shape(n, s)
	case "text":
		err = p.text(n, s)
	}
	if err != nil {
		return err
	}
	for _, c := range n.children {
		if err := p.draw(c, s); err != nil {
			return err
		}
	}
	if clipped {
		p.d.raw("Q")
	}
	return nil
}

// op is one step of a path in absolute coordinates: "m", "l", "c" or "h".
type op struct {
	name string
	at   [6]float64
}

// flipped writes a path in the coordinates of the page, whose y goes up.
func (p *painter) flipped(path []op) string {
	return written(path, matrix{1, 0, 0, -1, 0, p.height + p.up})
}

type matrix [6]float64

func (m matrix) at(x, y float64) (float64, float64) {
	return m[0]*x + m[2]*y + m[4], m[1]*x + m[3]*y + m[5]
}

func written(path []op, m matrix) string {
	var b strings.Builder
	for _, o := range path {
		n := map[string]int{"m": 1, "l": 1, "c": 3, "h": 0}[o.name]
		for i := range n {
			x, y := m.at(o.at[2*i], o.at[2*i+1])
			b.WriteString(num(x) + " " + num(y) + " ")
		}
		b.WriteString(o.name + " ")
	}
	return b.String()
}

// outline is the path of a shape.
func outline(n *node) ([]op, error) {
	number := func(name string) float64 {
		v, err := strconv.ParseFloat(n.attrs[name], 64)
		if err != nil {
			return math.NaN()
		}
		return v
	}
	switch n.name {
	case "path":
		return readPath(n.attrs["d"])
	case "rect":
		x, y, w, h, r := number("x"), number("y"), number("width"), number("height"), 0.0
		if n.attrs["rx"] != "" {
			r = min(number("rx"), w/2, h/2)
		}
		if math.IsNaN(x + y + w + h + r) {
			return nil, errors.New("drawing: a rectangle without its numbers")
		}
		return rounded(x, y, w, h, r), nil
	case "circle":
		x, y, r := number("cx"), number("cy"), number("r")
		if math.IsNaN(x + y + r) {
			return nil, errors.New("drawing: a circle without its numbers")
		}
		return rounded(x-r, y-r, 2*r, 2*r, r), nil
	}
	return nil, fmt.Errorf("drawing: <%s> has no outline", n.name)
}

// rounded is a rectangle with round corners; a quarter of a circle is the usual
// cubic curve, off by less than 0.03 % of the radius.
func rounded(x, y, w, h, r float64) []op {
	if r == 0 {
		return []op{move(x, y), line(x+w, y), line(x+w, y+h), line(x, y+h), {name: "h"}}
	}
	k := r * (1 - 0.5522847498)
	return []op{
		move(x+r, y), line(x+w-r, y), {"c", [6]float64{x + w - k, y, x + w, y + k, x + w, y + r}},
		line(x+w, y+h-r), {"c", [6]float64{x + w, y + h - k, x + w - k, y + h, x + w - r, y + h}},
		line(x+r, y+h), {"c", [6]float64{x + k, y + h, x, y + h - k, x, y + h - r}},
		line(x, y+r), {"c", [6]float64{x, y + k, x + k, y, x + r, y}}, {name: "h"},
	}
}

func move(x, y float64) op { return op{"m", [6]float64{x, y}} }
func line(x, y float64) op { return op{"l", [6]float64{x, y}} }

// pathNumbers is how many numbers each letter of a path takes.
var pathNumbers = map[byte]int{'M': 2, 'L': 2, 'H': 1, 'V': 1, 'C': 6, 'Q': 4, 'T': 2, 'Z': 0}

// readPath reads the path data of SVG; of arcs those of circles.
func readPath(d string) ([]op, error) {
	var out []op
	var x, y, startX, startY float64
	var controlX, controlY float64 // of the last quadratic curve
	letter, smooth := byte(0), false
	rest := d
	next := func() (float64, error) {
		rest = strings.TrimLeft(rest, " ,\n")
		n := numberLength(rest)
		v, err := strconv.ParseFloat(rest[:n], 64)
		if err != nil {
			return 0, fmt.Errorf("drawing: path %q: a number was expected at %q", d, rest)
		}
		rest = rest[n:]
		return v, nil
	}
	for {
		rest = strings.TrimLeft(rest, " ,\n")
		if rest == "" {
			return out, nil
		}
		if c := rest[0]; c >= 'A' && c != 'e' && c != 'E' {
			letter, rest = c, rest[1:]
		} else if letter == 0 || letter == 'Z' || letter == 'z' {
			return nil, fmt.Errorf("drawing: path %q: a letter was expected at %q", d, rest)
		}
		big := letter &^ 0x20
		if big == 'A' {
			var a [7]float64
			for i := range a {
				v, err := next()
				if err != nil {
					return nil, err
				}
				a[i] = v
			}
			if letter != big {
				a[5], a[6] = a[5]+x, a[6]+y
			}
			if a[0] <= 0 || a[0] != a[1] {
				return nil, fmt.Errorf("drawing: path %q: only arcs of circles can be set as PDF", d)
			}
			out = append(out, arc(x, y, a[0], a[3] != 0, a[4] != 0, a[5], a[6])...)
			x, y, smooth = a[5], a[6], false
			continue
		}
		n, ok := pathNumbers[big]
		if !ok {
			return nil, fmt.Errorf("drawing: path %q: %q cannot be set as PDF", d, string(letter))
		}
		var a [6]float64
		for i := range n {
			v, err := next()
			if err != nil {
				return nil, err
			}
			if letter != big { // relative
				switch {
				case big == 'V', big != 'H' && i%2 == 1:
					v += y
				default:
					v += x
				}
			}
			a[i] = v
		}
		was := smooth
		smooth = false
		switch big {
		case 'M':
			x, y = a[0], a[1]
			startX, startY = x, y
			out = append(out, move(x, y))
			letter = 'L' | letter&0x20 // what follows without a letter
		case 'L':
			x, y = a[0], a[1]
			out = append(out, line(x, y))
		case 'H':
			x = a[0]
			out = append(out, line(x, y))
		case 'V':
			y = a[0]
			out = append(out, line(x, y))
		case 'C':
			out = append(out, op{"c", a})
			x, y = a[4], a[5]
		case 'Q', 'T':
			qx, qy := a[0], a[1]
			toX, toY := a[2], a[3]
			if big == 'T' {
				toX, toY = a[0], a[1]
				qx, qy = x, y
				if was {
					qx, qy = 2*x-controlX, 2*y-controlY
				}
			}
			out = append(out, op{"c", [6]float64{x + 2*(qx-x)/3, y + 2*(qy-y)/3, toX + 2*(qx-toX)/3, toY + 2*(qy-toY)/3, toX, toY}})
			controlX, controlY, smooth = qx, qy, true
			x, y = toX, toY
		case 'Z':
			out = append(out, op{name: "h"})
			x, y = startX, startY
		}
	}
}

// arc is the part of a circle of a radius from one point to another, the long or
// the short way, with y down turning right (sweep) or left: the construction of
// the SVG standard (2nd edition, appendix B.2.4) for equal radii, in curves of a
// quarter at most.
func arc(x0, y0, r float64, long, sweep bool, x1, y1 float64) []op {
	half := math.Hypot(x1-x0, y1-y0) / 2
	if half == 0 {
		return nil
	}
	r = max(r, half)
	off := math.Sqrt(r*r-half*half) / (2 * half)
	if long == sweep {
		off = -off
	}
	cx, cy := (x0+x1)/2+off*(y0-y1), (y0+y1)/2+off*(x1-x0)
	from, to := math.Atan2(y0-cy, x0-cx), math.Atan2(y1-cy, x1-cx)
	turn := to - from
	switch {
	case sweep && turn < 0:
		turn += 2 * math.Pi
	case !sweep && turn > 0:
		turn -= 2 * math.Pi
	}
	n := math.Ceil(math.Abs(turn)/(math.Pi/2) - 1e-9)
	k := 4.0 / 3 * math.Tan(turn/n/4) * r
	var out []op
	for i := range int(n) {
		s0, c0 := math.Sincos(from + turn*float64(i)/n)
		s1, c1 := math.Sincos(from + turn*float64(i+1)/n)
		out = append(out, op{"c", [6]float64{cx + r*c0 - k*s0, cy + r*s0 + k*c0, cx + r*c1 + k*s1, cy + r*s1 - k*c1, cx + r*c1, cy + r*s1}})
	}
	return out
}

// numberLength is how far the number at the start of a text goes.
func numberLength(s string) int {
	i, dot := 0, false
	for ; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
		case (c == '-' || c == '+') && i == 0:
		case c == '.' && !dot:
			dot = true
		default:
			return i
		}
	}
	return i
}

// shape paints an outline: its fill, or the hatch of a pattern, then its line.
func (p *painter) shape(n *node, s style) error {
	path, err := outline(n)
	if err != nil {
		return err
	}
	if _, y0, _, y1 := bounds(path); n.attrs["transform"] == "" && (y1+s.width < p.up || y0-s.width > p.up+p.height) {
		return nil // it stands on another sheet
	}
	m := matrix{1, 0, 0, -1, 0, p.height + p.up}
	p.d.raw("q")
	defer p.d.raw("Q")
	if t := n.attrs["transform"]; t != "" {
		inner, err := transform(t)
		if err != nil {
			return err
		}
		p.d.raw("%s cm", m.text())
		p.d.raw("%s cm", inner.text())
		m = matrix{1, 0, 0, 1, 0, 0}
	}
	if strings.HasPrefix(s.fill, "url(") {
		if err := p.hatch(s, path, m); err != nil {
			return err
		}
		s.fill = "none"
	}
	fill, err := colour(s.fill)
	if err != nil {
		return err
	}
	stroke, err := colour(s.stroke)
	if err != nil {
		return err
	}
	if fill != "" && len(path) > 2 {
		p.opacity(s.fillOpacity)
		star := ""
		if s.rule == "evenodd" {
			star = "*"
		}
		p.d.raw("%s rg %s f%s", fill, written(path, m), star)
	}
	if stroke != "" && s.width > 0 {
		p.opacity(s.strokeOpacity)
		if err := p.pen(s, stroke); err != nil {
			return err
		}
		p.d.raw("%s S", written(path, m))
	}
	return nil
}

// pen sets colour, width, dash and ends of a line.
func (p *painter) pen(s style, colour string) error {
	dash, err := numbers(s.dash, 0)
	if err != nil {
		return err
	}
	if len(dash) > 0 {
		text := make([]string, len(dash))
		for i, v := range dash {
			text[i] = num(v)
		}
		p.d.raw("[%s] 0 d", strings.Join(text, " "))
	}
	p.d.raw("%s RG %s w %d J %d j", colour, num(s.width), style3(s.cap, "round", "square"), style3(s.join, "round", "bevel"))
	return nil
}

// style3 is 1 for the first word, 2 for the second, 0 for the usual.
func style3(s, one, two string) int {
	switch s {
	case one:
		return 1
	case two:
		return 2
	}
	return 0
}

func (p *painter) opacity(v float64) {
	if v != 1 {
		p.d.out.SetAlpha(v, "Normal")
	}
}

func (m matrix) text() string {
	parts := make([]string, len(m))
	for i, v := range m {
		parts[i] = strconv.FormatFloat(math.Round(v*1e5)/1e5, 'f', -1, 64)
	}
	return strings.Join(parts, " ")
}

// transform reads rotate(a), rotate(a x y) or matrix(a b c d e f).
func transform(s string) (matrix, error) {
	name, rest, _ := strings.Cut(s, "(")
	v, err := numbers(strings.TrimSuffix(rest, ")"), 0)
	if err != nil {
		return matrix{}, err
	}
	switch {
	case name == "matrix" && len(v) == 6:
		return matrix(v), nil
	case name == "rotate" && len(v) == 1:
		v = append(v, 0, 0)
		fallthrough
	case name == "rotate" && len(v) == 3:
		sin, cos := math.Sincos(v[0] * math.Pi / 180)
		return matrix{cos, sin, -sin, cos, v[1] - cos*v[1] + sin*v[2], v[2] - sin*v[1] - cos*v[2]}, nil
	}
	return matrix{}, fmt.Errorf("drawing: transform %q cannot be set as PDF", s)
}

// hatch fills an outline with the lines of a pattern: the outline clips, and the
// tile is drawn wherever it may be seen.
func (p *painter) hatch(s style, path []op, m matrix) error {
	pattern, err := p.referred(s.fill, "pattern")
	if err != nil {
		return err
	}
	size, err := numbers(pattern.attrs["width"]+" "+pattern.attrs["height"], 2)
	if err != nil {
		return err
	}
	turn, err := transform(pattern.attrs["patternTransform"])
	if err != nil {
		return err
	}
	x0, y0, x1, y1 := bounds(path)
	// The box of the outline as the turned pattern sees it: the inverse of a turn
	// is its transpose.
	back := matrix{turn[0], turn[2], turn[1], turn[3], 0, 0}
	u0, v0, u1, v1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, c := range [][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}} {
		u, v := back.at(c[0], c[1])
		u0, v0, u1, v1 = min(u0, u), min(v0, v), max(u1, u), max(v1, v)
	}
	p.d.raw("q %s W n", written(path, m))
	p.opacity(s.fillOpacity)
	p.d.raw("%s cm %s cm", m.text(), turn.text())
	for _, c := range pattern.children {
		tile, err := outline(c)
		if err != nil {
			return err
		}
		own, err := style{fill: "none", stroke: "none", width: 1}.of(c)
		if err != nil {
			return err
		}
		ink, err := colour(own.stroke)
		if err != nil {
			return err
		}
		if err := p.pen(own, ink); err != nil {
			return err
		}
		// A tile shows nothing outside of itself: of a line on its edge, half.
		reach := math.Hypot(size[0], size[1])
		for u := math.Floor(u0/size[0]) * size[0]; u <= u1; u += size[0] {
			for v := math.Floor(v0/size[1]) * size[1]; v <= v1; v += size[1] {
				if x, y := turn.at(u, v); x < x0-reach || x > x1+reach || y < y0-reach || y > y1+reach {
					continue
				}
				p.d.raw("q %s %s %s %s re W n %s S Q", num(u), num(v), num(size[0]), num(size[1]), written(tile, matrix{1, 0, 0, 1, u, v}))
			}
		}
	}
	p.d.raw("Q")
	return nil
}

func bounds(path []op) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, o := range path {
		for i := range map[string]int{"m": 1, "l": 1, "c": 3}[o.name] {
			x, y := o.at[2*i], o.at[2*i+1]
			x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
		}
	}
	return x0, y0, x1, y1
}

// rgb is a colour of the form #rrggbb.
func rgb(s string) (r, g, b int, err error) {
	v, bad := strconv.ParseUint(strings.TrimPrefix(s, "#"), 16, 32)
	if bad != nil || len(s) != 7 || s[0] != '#' {
		return 0, 0, 0, fmt.Errorf("drawing: colour %q is not of the form #rrggbb", s)
	}
	return int(v >> 16), int(v >> 8 & 255), int(v & 255), nil
}

// colour is a colour as PDF has it, "" for none.
func colour(s string) (string, error) {
	if s == "none" || s == "" {
		return "", nil
	}
	r, g, b, err := rgb(s)
	if err != nil {
		return "", err
	}
	part := func(v int) string { return num(float64(v) / 255) }
	return part(r) + " " + part(g) + " " + part(b), nil
}

// text sets one line, with a rim of paper around it where it has one.
func (p *painter) text(n *node, s style) error {
	at, err := numbers(n.attrs["x"]+" "+n.attrs["y"]+" "+n.attrs["font-size"], 3)
	if err != nil {
		return err
	}
	y := at[1] - p.up
	if y < -20 || y > p.height+20 {
		return nil // it stands on another sheet
	}
	f := p.d.out
	p.d.font(n.attrs["font-weight"] == "bold", at[2])
	text := printable(n.text)
	x := at[0]
	switch wide := f.GetStringWidth(text); n.attrs["text-anchor"] {
	case "middle":
		x -= wide / 2
	case "end":
		x -= wide
	}
	p.d.raw("q")
	defer p.d.raw("Q")
	if t := n.attrs["transform"]; t != "" {
		v, err := numbers(strings.TrimSuffix(strings.TrimPrefix(t, "rotate("), ")"), 3)
		if err != nil {
			return err
		}
		m, err := transform(fmt.Sprintf("rotate(%g %g %g)", -v[0], v[1], p.height-(v[2]-p.up)))
		if err != nil {
			return err
		}
		p.d.raw("%s cm", m.text())
	}
	if s.stroke != "none" {
		rim, err := colour(s.stroke)
		if err != nil {
			return err
		}
		p.d.raw("q")
		if err := p.pen(s, rim); err != nil {
			return err
		}
		f.SetTextRenderingMode(1)
		f.Text(x, y, text)
		p.d.raw("Q")
	}
	r, g, b, err := rgb(s.fill)
	if err != nil {
		return err
	}
	f.SetTextColor(r, g, b)
	f.Text(x, y, text)
	return nil
}
