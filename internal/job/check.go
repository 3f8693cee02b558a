package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// checks holds parts of the job against one another where the job could not
// be read otherwise. Whether the job is right is for the review to say.
func (b *binder) checks() {
	for i := range b.job.ModuleTypes {
		m := &b.job.ModuleTypes[i]
		b.relative("voc_coefficient", &m.VocCoefficient, m.Voc)
		b.relative("vmp_coefficient", &m.VmpCoefficient, m.Vmp)
	}
	for i := range b.job.Planes {
		b.outline(&b.job.Planes[i])
	}
	for i := range b.job.Arrays {
		b.grid(&b.job.Arrays[i])
	}
	for i := range b.job.Strings {
		b.extraModules(&b.job.Strings[i])
		b.otherArrays(&b.job.Strings[i])
	}
	b.deviations(b.job.Deviations)
}

func (b *binder) add(at source.Span, key, expected, message string, a ...any) {
	b.fault(source.Fault{At: at, Path: key, Message: fmt.Sprintf(message, a...), Expected: expected})
}

// outline refuses what encloses no area.
func (b *binder) outline(p *Plane) {
	if !p.Outline.Known {
		return
	}
	points := p.Outline.Value
	if len(points) < 3 {
		b.add(p.Outline.At, p.Outline.Key, "at least three corners are expected", "%s: found %d corners", p.Outline.Key, len(points))
		return
	}
	var twice, reach float64
	for i, q := range points {
		next := points[(i+1)%len(points)]
		twice += q.X*next.Y - next.X*q.Y
		reach = max(reach, math.Hypot(next.X-q.X, next.Y-q.Y))
	}
	if math.Abs(twice) <= 1e-9*reach*reach {
		b.add(p.Outline.At, p.Outline.Key, "corners in order around the plane are expected", "%s: the corners enclose no area", p.Outline.Key)
	}
}

// grid holds places in the grid of an array against its size.
func (b *binder) grid(a *Array) {
	if !a.Rows.Known || !a.Columns.Known {
		return
	}
	rows, columns := a.Rows.Value, a.Columns.Value
	if rows*columns > bound.Modules {
		b.add(a.Columns.At, a.Columns.Key, fmt.Sprintf("at most %d modules are expected", bound.Modules), "%s: %d x %d modules", a.Columns.Key, rows, columns)
		return
	}
	inside := func(row, column int) bool { return row <= rows && column <= columns }
	for _, c := range a.Omit.Value {
		if !inside(c.Row, c.Column) {
			b.add(a.Omit.At, a.Omit.Key, gridText(rows, columns), "%s: [%d, %d] is outside the array", a.Omit.Key, c.Row, c.Column)
		}
	}
	for i := range a.Lugs {
		row, column := a.Lugs[i].Row, a.Lugs[i].Column
		if row.Known && row.Value > rows {
			b.add(row.At, row.Key, gridText(rows, columns), "%s: row %d is outside the array", row.Key, row.Value)
		}
		if column.Known && column.Value > columns {
			b.add(column.At, column.Key, gridText(rows, columns), "%s: column %d is outside the array", column.Key, column.Value)
		}
	}
	b.feetOnLine(a)
}

func gridText(rows, columns int) string {
	return fmt.Sprintf("the array has %d rows and %d columns, counted from 1", rows, columns)
}

// extraModules reads the modules of other types in a string: "2 x type".
func (b *binder) extraModules(s *String) {
	for _, text := range s.Others.Value {
		number, name, cut := strings.Cut(text, " x ")
		count, err := strconv.Atoi(strings.TrimSpace(number))
		name = strings.TrimSpace(name)
		if !cut || err != nil || count < 1 || count > bound.Modules {
			b.add(s.Others.At, s.Others.Key, `a number and a module type are expected, such as "2 x type"`, "%s: %q cannot be read", s.Others.Key, shorten(text))
			continue
		}
		if _, known := ByName(b.job.ModuleTypes, name); !known {
			near := b.nearest(name, b.shelf.known("module_type", b.names["module_type"]))
			b.fault(source.Fault{At: s.Others.At, Path: s.Others.Key, Message: fmt.Sprintf("%s: no module_type is named %q", s.Others.Key, shorten(name)), Nearest: near})
			continue
		}
		s.Extra = append(s.Extra, ExtraModules{Modules: count, Module: name, At: s.Others.At})
	}
}

// otherArrays reads the modules of a string that belong to further arrays:
// "4 x array". At least one module is left to the array that the string names.
func (b *binder) otherArrays(s *String) {
	key := s.OtherArrays
	left, seen := s.Modules.Value, map[string]bool{s.Array.Value: s.Array.Known}
	for _, text := range key.Value {
		number, name, cut := strings.Cut(text, " x ")
		count, err := strconv.Atoi(strings.TrimSpace(number))
		name = strings.TrimSpace(name)
		if !cut || err != nil || count < 1 || count > bound.Modules {
			b.add(key.At, key.Key, `a number and an array are expected, such as "4 x array"`, "%s: %q cannot be read", key.Key, shorten(text))
			continue
		}
		if _, known := ByName(b.job.Arrays, name); !known {
			near := b.nearest(name, b.names["array"])
			b.fault(source.Fault{At: key.At, Path: key.Key, Message: fmt.Sprintf("%s: no array is named %q", key.Key, shorten(name)), Nearest: near})
			continue
		}
		if seen[name] {
			b.add(key.At, key.Key, "each further array is expected once", "%s: %q is given twice", key.Key, shorten(name))
			continue
		}
		seen[name] = true
		if left -= count; s.Modules.Known && left < 1 {
			b.add(key.At, key.Key, fmt.Sprintf("fewer than the %d modules of the string are expected", s.Modules.Value), "%s: the further arrays have all modules of the string", key.Key)
			return
		}
		s.Apart = append(s.Apart, ArrayModules{Modules: count, Array: name, At: key.At})
	}
}

// relative turns a coefficient in volts per degree into one relative to the
// rated voltage. Without that voltage the coefficient is not known, and it is
// the voltage that is missing.
func (b *binder) relative(name string, c *Quantity, rated Quantity) {
	if !c.Known || c.Value.Dim != quantity.VoltagePerTemperature {
		return
	}
	if !rated.Known {
		*c = Quantity{Key: rated.Key, At: rated.At}
		return
	}
	types, _ := Model().Field("module_type")
	f, _ := types.Table.Field(name)
	text := c.Value.Format(quantity.SI)
	c.Value = quantity.Of(c.Value.SI/rated.Value.SI, f.Dim)
	if x := c.Value.SI; x > 0 || !quantity.AtLeast(x, *f.Min) || !quantity.AtMost(x, *f.Max) {
		b.add(c.At, c.Key, f.rangeText(), "%s: %s is out of range for a rated voltage of %s", c.Key, text, rated.Value.Format(quantity.SI))
	}
}
