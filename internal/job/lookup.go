package job

import (
	"slices"

	"plumbrule/internal/quantity"
)

// named is anything that carries a name.
type named interface{ Identity() *Entity }

// Identity is the name of a thing and where it stands.
func (e *Entity) Identity() *Entity { return e }

// ByName finds the thing of a name among its kind.
func ByName[T any, P interface {
	*T
	named
}](things []T, name string) (*T, bool) {
	for i := range things {
		if n := P(&things[i]).Identity().Name; n.Known && n.Value == name {
			return &things[i], true
		}
	}
	return nil, false
}

// byGiven finds the thing that a reference names; false when the reference is
// left out.
func byGiven[T any, P interface {
	*T
	named
}](things []T, ref Text) (*T, bool) {
	if !ref.Known {
		return nil, false
	}
	return ByName[T, P](things, ref.Value)
}

// The lookups below follow references between parts. Each is false when the
// job leaves the reference out.

// PlaneOf is the roof plane an array lies on.
func (j *Job) PlaneOf(a *Array) (*Plane, bool) { return byGiven(j.Planes, a.Plane) }

// PlaneUnder is the roof plane an obstruction stands in.
func (j *Job) PlaneUnder(o *Obstruction) (*Plane, bool) { return byGiven(j.Planes, o.Plane) }

// ModuleOf is the module type of an array.
func (j *Job) ModuleOf(a *Array) (*ModuleType, bool) { return byGiven(j.ModuleTypes, a.Module) }

// MountingOf is the mounting type of an array.
func (j *Job) MountingOf(a *Array) (*MountingType, bool) { return byGiven(j.MountingTypes, a.Mounting) }

// FastenerOf is the fastener type of an array's feet.
func (j *Job) FastenerOf(a *Array) (*FastenerType, bool) {
	return byGiven(j.FastenerTypes, a.Attachments.Fastener)
}

// InverterTypeOf is the type of an inverter.
func (j *Job) InverterTypeOf(i *Inverter) (*InverterType, bool) {
	return byGiven(j.InverterTypes, i.Type)
}

// ArrayOfInverter is the array whose modules a group of microinverters carries.
func (j *Job) ArrayOfInverter(i *Inverter) (*Array, bool) { return byGiven(j.Arrays, i.Array) }

// ArrayOf is the array a string's modules belong to.
func (j *Job) ArrayOf(s *String) (*Array, bool) { return byGiven(j.Arrays, s.Array) }

// InverterOf is the inverter a string feeds.
func (j *Job) InverterOf(s *String) (*Inverter, bool) { return byGiven(j.Inverters, s.Inverter) }

// ConverterTypeOf is the type of DC-to-DC converter in a string.
func (j *Job) ConverterTypeOf(s *String) (*ConverterType, bool) {
	return byGiven(j.ConverterTypes, s.Converter)
}

// ModuleTypeOf is the type of most of a string's modules: that of its array.
func (j *Job) ModuleTypeOf(s *String) (*ModuleType, bool) {
	a, ok := j.ArrayOf(s)
	if !ok {
		return nil, false
	}
	return j.ModuleOf(a)
}

// FuseOf is the overcurrent device of a string.
func (j *Job) FuseOf(s *String) (*Overcurrent, bool) { return byGiven(j.Overcurrents, s.Fuse) }

// OvercurrentOf is the device that protects a circuit.
func (j *Job) OvercurrentOf(c *Circuit) (*Overcurrent, bool) {
	return byGiven(j.Overcurrents, c.Overcurrent)
}

// SourceOvercurrent is the source overcurrent device of the interconnection.
func (j *Job) SourceOvercurrent() (*Overcurrent, bool) {
	return byGiven(j.Overcurrents, j.Interconnection.Overcurrent)
}

// CircuitOf is the circuit a disconnect opens.
func (j *Job) CircuitOf(d *Disconnect) (*Circuit, bool) { return byGiven(j.Circuits, d.Circuit) }

// InverterBehind is the inverter a disconnect isolates.
func (j *Job) InverterBehind(d *Disconnect) (*Inverter, bool) {
	return byGiven(j.Inverters, d.Inverter)
}

// StringsOf lists the strings whose current a circuit carries; false when the
// circuit does not say.
func (j *Job) StringsOf(c *Circuit) ([]*String, bool) { return byNames(j.Strings, c.Strings) }

// InvertersOf lists the inverters whose output a circuit carries; false when
// the circuit does not say.
func (j *Job) InvertersOf(c *Circuit) ([]*Inverter, bool) { return byNames(j.Inverters, c.Inverters) }

// byNames finds the things of a list of names, in the order of the list.
func byNames[T any, P interface {
	*T
	named
}](things []T, names Texts) ([]*T, bool) {
	list := make([]*T, 0, len(names.Value))
	for _, name := range names.Value {
		if thing, ok := ByName[T, P](things, name); ok {
			list = append(list, thing)
		}
	}
	return list, names.Known
}

// StringsInto lists the strings that feed an inverter, in the order of the
// job.
func (j *Job) StringsInto(i *Inverter) []*String {
	return pick(j.Strings, func(s *String) bool { return s.Inverter.Known && s.Inverter.Value == i.Name.Value })
}

// StringsOn lists the strings of an array, in the order of the job.
func (j *Job) StringsOn(a *Array) []*String {
	return pick(j.Strings, func(s *String) bool { return s.Array.Known && s.Array.Value == a.Name.Value })
}

// ArraysOn lists the arrays on a plane, in the order of the job.
func (j *Job) ArraysOn(p *Plane) []*Array {
	return pick(j.Arrays, func(a *Array) bool { return a.Plane.Known && a.Plane.Value == p.Name.Value })
}

// ObstructionsIn lists the obstructions in a plane, in the order of the job.
func (j *Job) ObstructionsIn(p *Plane) []*Obstruction {
	return pick(j.Obstructions, func(o *Obstruction) bool { return o.Plane.Known && o.Plane.Value == p.Name.Value })
}

// CircuitsOf lists the circuits that carry a string's current, in the order
// of the job.
func (j *Job) CircuitsOf(s *String) []*Circuit {
	return pick(j.Circuits, func(c *Circuit) bool { return slices.Contains(c.Strings.Value, s.Name.Value) })
}

// LabelsOf lists the labels of a kind, in the order of the job.
func (j *Job) LabelsOf(kind string) []*Label {
	return pick(j.Labels, func(l *Label) bool { return l.Kind.Known && l.Kind.Value == kind })
}

// DocumentsOf lists the documents of a kind, in the order of the job.
func (j *Job) DocumentsOf(kind string) []*Document {
	return pick(j.Documents, func(d *Document) bool { return d.Kind.Known && d.Kind.Value == kind })
}

func pick[T any](things []T, want func(*T) bool) []*T {
	var list []*T
	for i := range things {
		if want(&things[i]) {
			list = append(list, &things[i])
		}
	}
	return list
}

// System is the system of units that reports print in: the one the job asks
// for, else the one that most of its values are written in.
func (j *Job) System() quantity.System {
	switch {
	case !j.Project.Units.Known:
		return j.units
	case j.Project.Units.Value == "SI":
		return quantity.SI
	}
	return quantity.US
}

// KeyPath is the key of a named thing, "array.south", given its kind as the
// job file writes it.
func KeyPath(kind string, thing *Entity) string { return Join(kind, thing.Name.Value) }
