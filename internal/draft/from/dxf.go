package from

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"plumbrule/internal/source"
)

// entity is one thing of an ASCII DXF file: its group codes in order. The codes
// that are read are those of the published reference of the format.
type entity struct {
	kind   string
	groups []group
	parts  []entity // vertices of a polyline
}

// group is a group code with its value.
type group struct {
	code int
	text string
	at   source.Span // of the value
}

// text is the first value of a code; "" for none.
func (e *entity) text(code int) string {
	for _, g := range e.groups {
		if g.code == code {
			return g.text
		}
	}
	return ""
}

// number is the first value of a code as a number; 0 for none, as the format has it.
func (e *entity) number(code int) float64 {
	x, _ := strconv.ParseFloat(e.text(code), 64) // drawing reads every number before
	return x
}

func (e *entity) flag(bit int) bool { return int(e.number(70))&bit != 0 }

// solid reports whether a polyline has its corners in space, where those of the
// others lie on a plane of their own.
func (e *entity) solid() bool { return e.kind == "POLYLINE" && e.flag(8) }

// at is where the entity begins.
func (e *entity) at() source.Span { return e.groups[0].at }

// layer is the layer it is on.
func (e *entity) layer() string { return decoded(e.text(8)) }

// label tells an entity from its like: by its handle, where it has one.
func (e *entity) label() string {
	if handle := e.text(5); handle != "" {
		return e.kind + " " + handle
	}
	return e.kind
}

var escape = regexp.MustCompile(`\\U\+[0-9A-Fa-f]{4}`)

// decoded is a name with its escapes written out, as files before 2007 have
// them, and without bytes of another encoding.
func decoded(name string) string {
	name = escape.ReplaceAllStringFunc(name, func(s string) string {
		n, _ := strconv.ParseUint(s[3:], 16, 32) // four hexadecimal digits
		return string(rune(n))
	})
	return strings.ToValidUTF8(name, "\uFFFD")
}

// dxf is a file by what is read of it.
type dxf struct {
	unit     string // by $INSUNITS: "in", or "" where it names none
	unitAt   source.Span
	unitCode string // what $INSUNITS says
	entities []entity
}

// drawingUnits are the units that a drawing may be in.
var drawingUnits = []string{"ft", "in", "m", "cm", "mm"}

// insertUnits are the values of $INSUNITS that are read.
var insertUnits = map[string]string{"1": "in", "2": "ft", "4": "mm", "5": "cm", "6": "m"}

// metres is the length of each of drawingUnits.
var metres = map[string]float64{"ft": 0.3048, "in": 0.0254, "m": 1, "cm": 0.01, "mm": 0.001}

// parseDXF reads the group codes of a file; the entities are those of its
// section ENTITIES.
func parseDXF(f *source.File) (*dxf, *source.Fault) {
	if bytes.IndexByte(f.Text, 0) >= 0 {
		return nil, &source.Fault{At: f.Start(), Message: "this is a binary file", Expected: "a DXF file in ASCII is expected; save it as such"}
	}
	groups, fault := groupsOf(f)
	if fault != nil {
		return nil, fault
	}
	d := &dxf{}
	section, variable := "", ""
	for i, g := range groups {
		switch {
		case g.code == 0 && g.text == "SECTION":
			section = ""
			if i+1 < len(groups) && groups[i+1].code == 2 {
				section = groups[i+1].text
			}
		case g.code == 0 && g.text == "ENDSEC":
			section = ""
		case section == "HEADER" && g.code == 9:
			variable = g.text
		case section == "HEADER" && variable == "$INSUNITS" && g.code == 70:
			d.unit, d.unitCode, d.unitAt = insertUnits[g.text], g.text, g.at
		case section == "ENTITIES" && g.code == 0:
			d.begin(g)
		case section == "ENTITIES" && len(d.entities) > 0:
			d.add(g)
		}
	}
	if section != "" || len(groups) == 0 || groups[len(groups)-1].text != "EOF" {
		return nil, &source.Fault{At: f.At(f.Lines(), 1), Message: "the file ends too early", Expected: "a DXF file ends with EOF"}
	}
	return d, nil
}

// begin opens an entity. Vertices belong to the polyline before them.
func (d *dxf) begin(g group) {
	e := entity{kind: g.text, groups: []group{g}}
	if n := len(d.entities); n > 0 && g.text == "VERTEX" && d.entities[n-1].kind == "POLYLINE" {
		d.entities[n-1].parts = append(d.entities[n-1].parts, e)
		return
	}
	if g.text == "SEQEND" {
		e.kind = "" // it closes a polyline, and is no thing of the drawing
	}
	d.entities = append(d.entities, e)
}

func (d *dxf) add(g group) {
	e := &d.entities[len(d.entities)-1]
	if n := len(e.parts); n > 0 {
		e = &e.parts[n-1]
	}
	e.groups = append(e.groups, g)
}

// groupsOf reads pairs of lines: a code, then its value.
func groupsOf(f *source.File) ([]group, *source.Fault) {
	var groups []group
	offset := 0
	next := func() (string, source.Span, bool) {
		if offset >= len(f.Text) {
			return "", source.Span{}, false
		}
		start, end := offset, len(f.Text)
		if i := bytes.IndexByte(f.Text[offset:], '\n'); i >= 0 {
			end = offset + i
		}
		offset = end + 1
		line := f.Text[start:end]
		text := bytes.TrimSpace(line)
		start += bytes.Index(line, text)
		return string(text), source.Span{File: f, Start: start, End: start + len(text)}, true
	}
	for {
		code, at, more := next()
		if !more {
			return groups, nil
		}
		n, err := strconv.Atoi(code)
		if err != nil {
			if code == "" && len(bytes.TrimSpace(f.Text[min(offset, len(f.Text)):])) == 0 {
				return groups, nil // blank lines at the end
			}
			return nil, &source.Fault{At: at, Message: fmt.Sprintf("%q is no group code", shorten(code)), Expected: "a DXF file in ASCII is expected: a whole number, and below it its value"}
		}
		text, at, more := next()
		if !more {
			return nil, &source.Fault{At: f.At(f.Lines(), 1), Message: fmt.Sprintf("the group code %d has no value", n), Expected: "a value on the line below it is expected"}
		}
		if n == 999 {
			continue // a remark
		}
		groups = append(groups, group{n, text, at})
	}
}

// shorten keeps a text fit for a message.
func shorten(text string) string {
	const most = 40
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "..."
	}
	return text
}
