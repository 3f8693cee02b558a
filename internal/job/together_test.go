package job

import (
	"strings"
	"testing"
)

// A text that says several keys says what the job beside it says key by key.
func TestTextsOfSeveralKeys(t *testing.T) {
	for _, c := range []struct{ name, text, written string }{
		{"a size in one unit", "[[module_type]]\nname = \"N\"\nsize = \"1722 x 1134 x 30 mm\"\nclamp_long = \"7 to 18 in\"\n",
			"[[module_type]]\nname = \"N\"\nlength = \"1722 mm\"\nwidth = \"1134 mm\"\nthickness = \"30 mm\"\nclamp_long_from = \"7 in\"\nclamp_long_to = \"18 in\"\n"},
		{"a size in several units", "[[module_type]]\nname = \"N\"\nsize = \"1.722 m x 1134 mm x 1 3/16 in\"\n",
			"[[module_type]]\nname = \"N\"\nlength = \"1.722 m\"\nwidth = \"1134 mm\"\nthickness = \"1 3/16 in\"\n"},
		{"conductors and their raceway", "[[circuit]]\nname = \"A\"\nkind = \"branch\"\nwires = \"250 kcmil aluminum XHHW-2, 4 AWG copper ground, 2 1/2 EMT\"\n",
			"[[circuit]]\nname = \"A\"\nkind = \"branch\"\nconductor = \"250 kcmil\"\nmaterial = \"aluminum\"\ninsulation = \"XHHW-2\"\nground = \"4 AWG\"\nground_material = \"copper\"\nraceway = \"EMT\"\ntrade_size = \"2 1/2\"\n"},
		{"a key goes before a text that came by like", "[[circuit]]\nname = \"A\"\nkind = \"branch\"\nwires = \"10 AWG copper THWN-2, 10 AWG ground\"\n[[circuit]]\nname = \"B\"\nlike = \"A\"\nconductor = \"8 AWG\"\n",
			"[[circuit]]\nname = \"A\"\nkind = \"branch\"\nconductor = \"10 AWG\"\nmaterial = \"copper\"\ninsulation = \"THWN-2\"\nground = \"10 AWG\"\n[[circuit]]\nname = \"B\"\nlike = \"A\"\nconductor = \"8 AWG\"\n"},
		{"a text takes none of its keys by like", "[[circuit]]\nname = \"A\"\nkind = \"branch\"\nconductor = \"10 AWG\"\nraceway = \"EMT\"\n[[circuit]]\nname = \"B\"\nlike = \"A\"\nwires = \"8 AWG copper\"\n",
			"[[circuit]]\nname = \"A\"\nkind = \"branch\"\nconductor = \"10 AWG\"\nraceway = \"EMT\"\n[[circuit]]\nname = \"B\"\nkind = \"branch\"\nconductor = \"8 AWG\"\nmaterial = \"copper\"\n"},
		{"gaps both ways", "[[array]]\nname = \"a\"\nplane = \"south\"\ngap = \"1/2 in\"\n", "[[array]]\nname = \"a\"\nplane = \"south\"\ngap_x = \"1/2 in\"\ngap_y = \"1/2 in\"\n"},
		{"sections", "[grounding]\nelectrode_wire = \"6 AWG copper\"\n[service]\nwires = \"4/0 AWG aluminum\"\n",
			"[grounding]\nelectrode_conductor = \"6 AWG\"\nelectrode_material = \"copper\"\n[service]\nconductor = \"4/0 AWG\"\nmaterial = \"aluminum\"\n"},
	} {
		t.Run(c.name, func(t *testing.T) { same(t, parsePattern(t, c.text), parsePattern(t, c.written)) })
	}
}

func TestTextsOfSeveralKeysRefused(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"[[module_type]]\nname = \"N\"\nsize = \"1722 x 1134 mm\"\n", "has 2 of the 3 values of length, width, thickness"},
		{"[[module_type]]\nname = \"N\"\nsize = \"5 x 3 ft x 2 ft 1 in\"\n", "has a value without its unit"},
		{"[[module_type]]\nname = \"N\"\nsize = \" x  x 30 mm\"\n", "has a value without its unit"},
		{"[[module_type]]\nname = \"N\"\nsize = 3\n", "found"},
		{"[[module_type]]\nname = \"N\"\nsize = \"1722 x 1134 x 30 kg\"\n", "module_type.N.length"},
		{"[[module_type]]\nname = \"N\"\nsize = \"1722 x 1134 x 30 mm\"\nwidth = \"1 m\"\n", "size says it, too"},
		{"[[circuit]]\nname = \"A\"\nkind = \"branch\"\nwires = \"10 AWG copper THWN-2, 3/4 pipe\"\n", "neither a ground nor a raceway"},
		{"[[circuit]]\nname = \"A\"\nkind = \"branch\"\nwires = \"10 AWG copper, 3/4 EMT, 1 EMT\"\n", "says trade_size twice"},
		{"[[circuit]]\nname = \"A\"\nkind = \"branch\"\nwires = \"10 AWG,, 3/4 EMT\"\n", "has an empty part"},
		{"[[circuit]]\nname = \"A\"\nkind = \"branch\"\nwires = \"ground\"\n", "neither a ground nor a raceway"},
		{"[service]\nwires = \"4/0 aluminum\"\n", "is not a size with its unit and a material"},
	} {
		_, err := Parse("job.toml", []byte(patternBase+c.text), nil)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, and not %q", c.text, err, c.want)
		}
	}
}

// An edit reaches what a text says.
func TestEditsOfTextsOfSeveralKeys(t *testing.T) {
	tree, err := Read("job.toml", []byte(patternBase+"[grounding]\narray_wire = \"6 AWG copper\"\n"), nil)
	if err != nil {
		t.Fatal(err)
	}
	tree, err = tree.With(Edits{Set: map[string]any{"grounding.array_material": "aluminum"}, Unset: []string{"grounding.array_conductor"}})
	if err != nil {
		t.Fatal(err)
	}
	j, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	if j.Grounding.ArrayMaterial.Value != "aluminum" || j.Grounding.ArrayConductor.Known {
		t.Errorf("%q, %v", j.Grounding.ArrayMaterial.Value, j.Grounding.ArrayConductor)
	}
}
