package circuits

import (
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// terminals are all screws on conductors that the job names, by whether their
// torque is stated.
type terminals struct{ with, without []string }

// terminalTorques goes through everything that a conductor ends at under a
// screw. Microinverters are left out: they are joined by connectors.
var terminalTorques = terms.Analyse(submittalKind, "torque of terminals", func(c *terms.Call, j *job.Job) *terminals {
	t := &terminals{}
	add := func(what string, g job.Quantity) {
		if terms.Stated(c, g) {
			t.with = append(t.with, what)
			c.Drive(g.At)
		} else {
			t.without = append(t.without, what)
		}
	}
	var types []*job.InverterType
	for _, i := range inverterKind.All(c) {
		if k := typeOf(c, i); k != nil && !slices.Contains(types, k) && !inverterIsMicro.Of(c, i) {
			types = append(types, k)
			add("inverter type "+k.Name.Value, k.TerminalTorque)
		}
	}
	for _, d := range combinerKind.All(c) {
		add("combiner "+d.Name.Value, d.TerminalTorque)
	}
	for _, d := range overcurrentKind.All(c) {
		add(d.Name.Value, d.TerminalTorque)
	}
	for _, d := range disconnectKind.All(c) {
		add(d.Name.Value, d.TerminalTorque)
	}
	for _, d := range panelKind.All(c) {
		add("panel "+d.Name.Value, d.TerminalTorque)
	}
	for _, d := range transformerKind.All(c) {
		add("transformer "+d.Name.Value, d.TerminalTorque)
	}
	if x := &j.Interconnection; terms.Stated(c, x.Kind) {
		if kind := terms.Get(c, x.Kind); kind != "busbar" && kind != "feeder" {
			add("the connectors of the "+kind+" connection", x.TerminalTorque)
		}
	}
	for _, a := range arrayKind.All(c) {
		for i := range a.Lugs {
			if name := "lugs of array " + a.Name.Value; terms.Stated(c, a.Lugs[i].Torque) || !slices.Contains(t.without, name) {
				add(name, a.Lugs[i].Torque)
			}
		}
	}
	return t
})

var _ = terms.Derive(submittalKind, "terminals_with_torque", terms.WholeNumber, "terminals of equipment, and lugs, whose torque is stated", "the job", "",
	func(c *terms.Call, j *job.Job) int { return len(terminalTorques.Of(c, j).with) })

var _ = terms.Derive(submittalKind, "terminals_without_torque", terms.WholeNumber, "terminals of equipment, and lugs of an array, whose torque is not stated", "the job", "",
	func(c *terms.Call, j *job.Job) int { return len(terminalTorques.Of(c, j).without) })

var _ = terms.Derive(submittalKind, "terminals_without", terms.Word, "those whose torque is not stated, by name", "the job", "",
	func(c *terms.Call, j *job.Job) string { return strings.Join(terminalTorques.Of(c, j).without, ", ") })
