package job

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"plumbrule/internal/source"
)

// Several keys that a drawing or a cut sheet says in one breath may be said in
// one text: the size of a module, the working space in front of a panel, the
// conductors of a circuit with their raceway. Each text stands for the keys in
// the order of its words, and a key that states one of them beside a text that
// came by like goes before it.

type (
	modulePattern struct {
		Size       Text `key:"size" doc:"length, width and thickness in one text, such as \"1722 x 1134 x 30 mm\""`
		ClampLong  Text `key:"clamp_long" doc:"clamp_long_from and clamp_long_to in one text, such as \"7 to 18 in\""`
		ClampShort Text `key:"clamp_short" doc:"clamp_short_from and clamp_short_to in one text, such as \"6 to 14 in\""`
	}
	inverterTypePattern struct {
		MPPT Text `key:"mppt" doc:"mppt_low and mppt_high in one text, such as \"180 to 550 V\""`
	}
	mountingPattern struct {
		Splice Text `key:"splice" doc:"splice_from and splice_to in one text, such as \"2 to 16 in\""`
	}
	framingPattern struct {
		Size Text `key:"size" doc:"width and depth as measured, in one text, such as \"1 1/2 x 7 1/4 in\""`
	}
	workingPattern struct {
		Space Text `key:"working_space" doc:"working_depth, working_width and working_height in one text, such as \"36 x 30 x 78 in\""`
	}
	servicePattern struct {
		Wires Text `key:"wires" doc:"conductor and material in one text, such as \"4/0 AWG aluminum\""`
	}
	interconnectionPattern struct {
		Wires Text `key:"wires" doc:"conductor and material of the supply-side conductors in one text, such as \"6 AWG copper\""`
	}
	groundingPattern struct {
		ElectrodeWire Text `key:"electrode_wire" doc:"electrode_conductor and electrode_material in one text, such as \"6 AWG copper\""`
		ArrayWire     Text `key:"array_wire" doc:"array_conductor and array_material in one text, such as \"6 AWG copper\""`
	}
	circuitPattern struct {
		Wires Text `key:"wires" doc:"conductor, material, insulation, ground, raceway and trade_size in one text, such as \"10 AWG copper THWN-2, 10 AWG ground, 3/4 EMT\""`
	}
)

// told is a key that says several others in one text.
type told struct {
	pattern string
	keys    []string
	read    func(keys []string, text string) (values map[string]string, problem string)
	example string
}

// inOneText lists those keys by the key of their table.
var inOneText = map[string][]told{
	"module_type": {
		{"size", []string{"length", "width", "thickness"}, sizes, "1722 x 1134 x 30 mm"},
		{"clamp_long", []string{"clamp_long_from", "clamp_long_to"}, ranges, "7 to 18 in"},
		{"clamp_short", []string{"clamp_short_from", "clamp_short_to"}, ranges, "6 to 14 in"},
	},
	"inverter_type":   {{"mppt", []string{"mppt_low", "mppt_high"}, ranges, "180 to 550 V"}},
	"mounting_type":   {{"splice", []string{"splice_from", "splice_to"}, ranges, "2 to 16 in"}},
	"framing":         {{"size", []string{"width", "depth"}, sizes, "1 1/2 x 7 1/4 in"}},
	"array":           {{"gap", []string{"gap_x", "gap_y"}, bothWays, "1/2 in"}},
	"inverter":        {workingSpace},
	"panel":           {workingSpace},
	"service":         {{"wires", []string{"conductor", "material"}, wire, "4/0 AWG aluminum"}},
	"interconnection": {{"wires", []string{"conductor", "material"}, wire, "6 AWG copper"}},
	"grounding": {
		{"electrode_wire", []string{"electrode_conductor", "electrode_material"}, wire, "6 AWG copper"},
		{"array_wire", []string{"array_conductor", "array_material"}, wire, "6 AWG copper"},
	},
	"circuit": {{"wires", []string{"conductor", "material", "insulation", "ground", "ground_material", "raceway", "trade_size"}, wires,
		"10 AWG copper THWN-2, 10 AWG ground, 3/4 EMT"}},
}

var workingSpace = told{"working_space", []string{"working_depth", "working_width", "working_height"}, sizes, "36 x 30 x 78 in"}

// saidTogether reports whether a table states in one text what a key says.
func saidTogether(kind, key string, stated []string) bool {
	return slices.ContainsFunc(inOneText[kind], func(x told) bool { return slices.Contains(x.keys, key) && slices.Contains(stated, x.pattern) })
}

// leaveTogether reports whether a text is left that says a key among others.
func leaveTogether(leaves []*left, kind, key, k string) bool {
	return slices.ContainsFunc(inOneText[kind], func(x told) bool { return slices.Contains(x.keys, k) && leave(leaves, Join(key, x.pattern)) })
}

// leavesPart reports whether some of what a text says is left.
func (l *lineage) leavesPart(kind, key, pattern string, leaves []*left) bool {
	return slices.ContainsFunc(inOneText[kind], func(x told) bool {
		return x.pattern == pattern && slices.ContainsFunc(x.keys, func(k string) bool { return leave(leaves, Join(key, k)) })
	})
}

// takeParts gives a table what a text of another says, but for the keys that it
// leaves or states. A text that cannot be read is refused where it stands.
func (l *lineage) takeParts(kind, key, pattern string, heir, text *node, taken source.Further, leaves []*left) {
	x := inOneText[kind][slices.IndexFunc(inOneText[kind], func(x told) bool { return x.pattern == pattern })]
	said, ok := text.text()
	values, problem := x.read(x.keys, said)
	if !ok || problem != "" || !l.make(taken.At, key, len(values)) {
		return
	}
	for _, k := range x.keys {
		here := Join(key, k)
		if values[k] == "" || heir.get(k) != nil || leave(leaves, here) {
			continue
		}
		heir.table[k] = plant(values[k], text.at)
		l.heirs[here], l.made[here] = taken, true
	}
}

// together writes out the texts that stand for several keys.
func (e *expansion) together(t *Table, kind, key string, n *node) {
	for _, x := range inOneText[kind] {
		if text := n.get(x.pattern); text != nil {
			delete(n.table, x.pattern)
			e.apart(x, key, n, text)
		}
	}
	for _, f := range t.Fields {
		child := n.get(f.Key)
		switch {
		case child == nil || f.Table == nil:
		case child.isTable():
			e.together(f.Table, f.Key, Join(key, f.Key), child)
		default:
			for i, element := range child.list {
				name, _ := element.get("name").text()
				e.together(f.Table, f.Key, elementKey(f, Join(key, f.Key), i, name), element)
			}
		}
	}
}

// apart puts the values of one text into a table.
func (e *expansion) apart(x told, key string, n, text *node) {
	pattern := Join(key, x.pattern)
	expected := fmt.Sprintf("a text such as %q is expected", x.example)
	said, ok := text.text()
	if !ok {
		e.fault(text.span(), pattern, expected, "found %s", found(text))
		return
	}
	values, problem := x.read(x.keys, said)
	if problem != "" {
		e.fault(text.span(), pattern, expected, "%q %s", shorten(said), problem)
		return
	}
	if !e.make(text.span(), pattern, len(values)) {
		return
	}
	by, inherited := e.heirs[pattern]
	for _, k := range x.keys {
		value, here := values[k], Join(key, k)
		beside := n.get(k)
		_, took := e.heirs[here]
		switch {
		case value == "" || beside != nil && (inherited || took):
		case beside != nil:
			e.faults = append(e.faults, source.Fault{At: beside.span(), Path: here, Message: fmt.Sprintf("%s: %s says it, too", here, x.pattern),
				Expected: "one of the two is expected", Also: []source.Further{{At: text.span(), Note: "and here"}}})
		default:
			n.table[k] = plant(value, text.at)
			e.made[here] = true
			if inherited {
				e.heirs[here] = by
			}
		}
	}
}

// sizes parts "1722 x 1134 x 30 mm".
func sizes(keys []string, text string) (map[string]string, string) {
	return split(keys, strings.Split(text, " x "))
}

// ranges parts "7 to 18 in".
func ranges(keys []string, text string) (map[string]string, string) {
	return split(keys, strings.Split(text, " to "))
}

// bothWays parts "1/2 x 4 in", or "1/2 in" which is the same in both ways.
func bothWays(keys []string, text string) (map[string]string, string) {
	parts := strings.Split(text, " x ")
	if len(parts) == 1 {
		parts = append(parts, parts[0])
	}
	return split(keys, parts)
}

// split gives each key its value; one without a unit has that of the last.
func split(keys, parts []string) (values map[string]string, problem string) {
	if len(parts) != len(keys) {
		return nil, fmt.Sprintf("has %d of the %d values of %s", len(parts), len(keys), strings.Join(keys, ", "))
	}
	last := strings.TrimSpace(parts[len(parts)-1])
	unit := strings.TrimSpace(strings.TrimLeftFunc(last, isNumeral))
	values = map[string]string{}
	for i, part := range parts {
		part = strings.TrimSpace(part)
		if strings.TrimLeftFunc(part, isNumeral) == "" {
			if part == "" || strings.ContainsFunc(unit, unicode.IsDigit) {
				return nil, "has a value without its unit"
			}
			part += " " + unit
		}
		values[keys[i]] = part
	}
	return values, ""
}

// isNumeral reports whether a rune belongs to a number such as "1 1/2".
func isNumeral(r rune) bool { return unicode.IsDigit(r) || strings.ContainsRune("+-./ ", r) }

// wire reads one conductor: "6 AWG copper".
func wire(keys []string, text string) (values map[string]string, problem string) {
	words := strings.Fields(text)
	if len(words) != 3 {
		return nil, "is not a size with its unit and a material"
	}
	return map[string]string{keys[0]: words[0] + " " + words[1], keys[1]: words[2]}, ""
}

// wires reads the conductors of a circuit: the ungrounded ones first, then
// the ground and the raceway.
func wires(_ []string, text string) (values map[string]string, problem string) {
	circuits, _ := Model().Field("circuit")
	raceways, _ := circuits.Table.Field("raceway")
	materials, _ := circuits.Table.Field("material")
	values = map[string]string{}
	put := func(key, value string) {
		if value != "" && values[key] != "" {
			problem = fmt.Sprintf("says %s twice", key)
		}
		values[key] = value
	}
	for i, part := range strings.Split(text, ",") {
		words := strings.Fields(part)
		if len(words) == 0 {
			return nil, "has an empty part"
		}
		last := words[len(words)-1]
		switch {
		case slices.Contains(raceways.Choice, last):
			put("raceway", last)
			put("trade_size", strings.Join(words[:len(words)-1], " "))
		case len(words) < 2 || i > 0 && last != "ground":
			return nil, fmt.Sprintf("has %q, which is neither a ground nor a raceway", shorten(strings.TrimSpace(part)))
		case last == "ground":
			put("ground", strings.Join(words[:min(2, len(words)-1)], " "))
			if rest := words[min(2, len(words)-1) : len(words)-1]; len(rest) > 0 {
				put("ground_material", strings.Join(rest, " "))
			}
		default:
			put("conductor", strings.Join(words[:2], " "))
			if words = words[2:]; len(words) > 0 && slices.Contains(materials.Choice, words[0]) {
				put("material", words[0])
				words = words[1:]
			}
			put("insulation", strings.Join(words, " "))
		}
	}
	return values, problem
}
