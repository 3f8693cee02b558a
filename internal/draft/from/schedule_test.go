package from

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

const modulesFile = "array, plane, row, column\nsouth, south, 1, 1\nsouth, south, 1, 2\nsouth, south, 2, 1\n"

func TestSchedules(t *testing.T) {
	j, r := mustDraft(t, Options{},
		text("circuits.csv", "\uFEFFName,Kind,Strings,Conductor (AWG),Length,stated.current (A),terminal proven,ambient (degF)\r\n"+
			"C1,string,S1,10,12'-6 1/2\",17,yes,\r\n"+
			"\"C \"\"2\"\"\",source,S2; S3,8,\"40 ft\",,No,95\r\n,,,,,,,\r\n"),
		text("module types.csv", "# from the cut sheet\nname;length (mm);weight;voc coefficient\nM;1722;21.5 kg;-0.27 %/degC\n"),
		text("array=fields.csv", "name,plane,origin x (ft),origin y (in),attachments.spacing,attachments.lines (in)\nA,roof,3,18,48 in,12; 54.5\n"))
	c := j.Circuits
	if len(c) != 2 || c[1].Name.Value != `C "2"` || c[0].Conductor.Value.String() != "10 AWG" || c[0].Length.Value.SI != quantityOf(t, "12 ft 6.5 in") || !c[0].TerminalProven.Value || c[1].TerminalProven.Value {
		t.Errorf("the circuits are %+v", c)
	}
	if c[1].Stated.Current.Known || c[0].Ambient.Known || !c[1].TerminalProven.Known || !c[0].Stated.Current.Known || !slices.Equal(c[1].Strings.Value, []string{"S2", "S3"}) {
		t.Errorf("an empty cell is stated, or a full one is not: %+v", c)
	}
	if m := j.ModuleTypes[0]; m.Length.Value.SI != 1.722 || !m.VocCoefficient.Known {
		t.Errorf("the module type is %+v", m)
	}
	a := j.Arrays[0]
	if a.Origin.Value != (job.Point{X: 3 * 0.3048, Y: 18 * 0.0254}) || len(a.Attachments.Lines.Value) != 2 || !a.Attachments.Spacing.Known {
		t.Errorf("the array is %+v", a)
	}
	if len(j.Strings) != 3 || j.Strings[0].Array.Known || len(j.Planes) != 1 || j.Planes[0].Name.Value != "roof" {
		t.Errorf("what schedules name is not there by its name alone: %+v %+v", j.Strings, j.Planes)
	}
	noted(t, r, "circuits.csv: 2 entries of circuit", "module types.csv: 1 entry of module_type")
}

func quantityOf(t *testing.T, text string) float64 {
	t.Helper()
	v, err := quantity.Parse(text, quantity.Length)
	if err != nil {
		t.Fatal(err)
	}
	return v.SI
}

func TestScheduleFaults(t *testing.T) {
	for _, c := range []struct {
		name  string
		files []Source
		want  []string
	}{
		{"columns", []Source{text("circuits.csv", "nane,kind,length (A),units (ft),kind,remarks of the crew\nC1,string,1,2,string,\n")}, []string{
			`circuits.csv:1:1: unknown column "nane"; a column that is not to be read is left out by --column "nane=-"; did you mean "name"?`,
			`circuits.csv:1:11: the column "length": A is a current`,
			`circuits.csv:1:22: the column "units" takes no unit; found "ft"`,
			`circuits.csv:1:33: the column "kind" stands twice`,
			`circuits.csv:1:38: unknown column "remarks of the crew"`}},
		{"cells", []Source{text("circuits.csv", "name,kind,conductor,length,units,terminal proven,stated.current\nC1,strnig,10 gauge,12,2.5,maybe,17 V\nC2,string,,\"1,200 ft\",0,,\n")}, []string{
			`circuits.csv:2:4: kind: "strnig" is not a choice`,
			`circuits.csv:2:11: conductor: "10 gauge"`,
			`circuits.csv:2:20: length: "12": no unit`,
			`circuits.csv:2:23: units: found the number 2.5; a whole number is expected`,
			`circuits.csv:2:27: terminal_proven: found`,
			`circuits.csv:2:33: current: "17 V": V is a voltage`,
			`circuits.csv:3:12: length: "1,200 ft"`,
			`circuits.csv:3:23: units: 0 is out of range`}},
		{"lines", []Source{text("labels.csv", "name,kind\nA,directory\nB\nC,directory,x\n\"D\nE\",directory\n")}, []string{
			"labels.csv:3:1: the line has 1 fields; the heading has 2", "labels.csv:4:1: the line has 3 fields", "labels.csv:5:1: is a quote left open?"}},
		{"references", []Source{text("strings.csv", "name,array,modules\nS1,soth,12\nS1,south,12\n,south,3\n"), text("modules.csv", modulesFile)}, []string{
			`strings.csv:2:4: string.S1.array: no array is named "soth"; did you mean "south"?`, `strings.csv:3:1: two things of kind string are named "S1"`, "strings.csv:4:1: name is missing"}},
		{"needed", []Source{text("circuits.csv", "name,length\nC1,10 ft\n")}, []string{"circuits.csv:2:1: circuit.C1.kind is missing"}},
		{"a name that says too little", []Source{text("circuits.csv", "name,kind,inverters\nC1,branch,I1\n")}, []string{`circuits.csv:2:11: no inverter is named "I1"`}},
		{"nothing", []Source{text("circuits.csv", "")}, []string{"circuits.csv:1:1: no lines to read"}},
		{"heading alone", []Source{text("circuits.csv", "name,kind\n,\n")}, []string{"circuits.csv:1:1: no lines to read"}},
		{"not text", []Source{text("circuits.csv", "\xff\xfen\x00")}, []string{"circuits.csv:1:1: not text"}},
		{"half a point", []Source{text("arrays.csv", "name,plane,origin x\nA,B,3 ft\n")}, []string{`arrays.csv:1:12: "origin x" has no other half`}},
		{"half a point that can be read", []Source{text("arrays.csv", "name,plane,origin x (A),origin y (in)\nA,B,3,18\n")}, []string{`arrays.csv:1:12: A is a current`, `arrays.csv:1:25: "origin y (in)" has no other half`}},
		{"half a place", []Source{text("arrays.csv", "name,plane,origin x (ft),origin y (ft)\nA,B,3,\n")}, []string{"arrays.csv:2:5: one coordinate"}},
		{"name", []Source{text("schedule.csv", "name\nA\n")}, []string{`schedule.csv:1:1: "schedule" does not tell what the file holds`}},
		{"word", []Source{text("circiut=schedule.csv", "name\nA\n")}, []string{`schedule.csv:1:1: did you mean "circuit"?`}},
		{"twice", []Source{text("arrays.csv", "name,plane\nA,B\n"), text("modules.csv", modulesFile)}, []string{"modules.csv:1:1: two files give array"}},
		{"ending", []Source{text("circuits.xlsx", "PK")}, []string{"circuits.xlsx:1:1: the ending of the file does not tell"}},
		{"outlines of what", []Source{text("circuit=r.geojson", "{}")}, []string{`r.geojson:1:1: cannot hold "circuit"`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := drafted(Options{}, c.files...)
			refused(t, err, c.want...)
		})
	}
}

func TestColumnsByAnotherName(t *testing.T) {
	f := text("circuits.csv", "Tag,Type of run,One way (ft),Remarks\nC1,string,40,ask\n")
	j, _ := mustDraft(t, Options{Columns: map[string]string{"tag": "name", "Type of run": "kind", "One way (ft)": "length", "Remarks": "-"}}, f)
	if c := j.Circuits[0]; c.Name.Value != "C1" || c.Length.Value.SI != 40*0.3048 {
		t.Errorf("the circuit is %+v", c)
	}
	_, _, err := drafted(Options{Columns: map[string]string{"Tag": "name", "Type of run": "kind", "One way": "length", "Remarks": "-", "Amps": "-"}}, f)
	refused(t, err, `no schedule has a column "Amps"`)
}

// A cell takes whatever the model gives as an example of the key, for every key
// of every list that a schedule can hold.
func TestEveryKeyOfEveryList(t *testing.T) {
	tried := 0
	for _, list := range job.Model().Fields {
		if list.Kind != job.KindTables {
			continue
		}
		for _, f := range list.Table.Fields {
			if !inCell(f) || f.Key == "extra_modules" || f.Key == "other_arrays" {
				continue
			}
			example := f.Example(quantity.US, []string{"N"})
			cell := unquoted(example)
			if cell == "" {
				cell = strings.Trim(strings.ReplaceAll(example, `"`, ""), "[]")
			}
			r, err := Read([]Source{text(list.Key+"=s.csv", fmt.Sprintf("%s\n%q\n", strings.ReplaceAll(f.Key, "_", " "), cell))}, Options{})
			if err != nil {
				t.Errorf("%s.%s: %v", list.Key, f.Key, err)
				continue
			}
			tried++
			if e := r.Tables[0].Entries; len(e) != 1 || e[0].Key != f.Key || e[0].Value != example {
				t.Errorf("%s.%s: %q gives %+v, expected %s", list.Key, f.Key, cell, e, example)
			}
		}
	}
	if tried < 250 {
		t.Errorf("only %d keys were tried", tried)
	}
}

func TestModulesInThreeWays(t *testing.T) {
	const types = "name,length,width\nM,68 in,45 in\n"
	for name, file := range map[string]string{
		"cells": "array,plane,module,orientation,origin x (in),origin y (in),gap x,gap y,row,column\n" +
			"A,roof,M,portrait,117,60,1/2 in,0.5 in,1,1\nA,,,,,,,,1,2\nA,,,,,,,,1,3\nA,,,,,,,,2,2\nA,,,,,,,,2,3\n",
		"rows":      "array,plane,module,orientation,origin x (in),origin y (in),gap x,gap y,row,modules,first\nA,roof,M,portrait,117,60,1/2 in,0.5 in,2,2,2\nA,,,,,,,,1,3,1\n",
		"positions": "array,plane,module,orientation,x (in),y (in)\nA,roof,M,portrait,117,60\nA,roof,M,,162.5,60\nA,roof,M,,208.01,60\nA,roof,M,,162.5,128.5\nA,roof,M,,208,128.5\n",
	} {
		t.Run(name, func(t *testing.T) {
			j, r := mustDraft(t, Options{}, text("modules.csv", file), text("module_types.csv", types))
			a := j.Arrays[0]
			if a.Rows.Value != 2 || a.Columns.Value != 3 || !slices.Equal(a.Omit.Value, []job.Cell{{Row: 2, Column: 1}}) || a.Orientation.Value != "portrait" ||
				plan([]job.Point{a.Origin.Value}, inch) != "117,60" {
				t.Errorf("the array is %+v", a)
			}
			for _, gap := range []job.Quantity{a.GapX, a.GapY} {
				if off := gap.Value.SI - 0.5*inch; !gap.Known || off > 0.0002 || off < -0.0002 {
					t.Errorf("a gap is %+v", gap)
				}
			}
			noted(t, r, "5 modules in 1 array")
		})
	}
}

func TestModulesWithoutSize(t *testing.T) {
	f := text("modules.csv", "array,plane,x (mm),y (mm)\nA,roof,0,0\nA,roof,1146,0\nB,roof,5000,0\n")
	r, err := Read([]Source{f}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	j, _ := mustDraft(t, Options{}, f)
	if j.Arrays[0].GapX.Known || j.Arrays[0].GapY.Known || j.Arrays[1].Columns.Value != 1 {
		t.Errorf("a gap was made up: %+v", j.Arrays)
	}
	if faults := r.gaps(nil); len(faults) > 0 || !strings.Contains(r.Tables[0].Note, "1146 mm apart along the eave") || strings.Contains(r.Tables[0].Note, "up the slope") {
		t.Errorf("the remark is %q", r.Tables[0].Note)
	}
}

func TestModuleFaults(t *testing.T) {
	for _, c := range []struct {
		name, file string
		want       []string
	}{
		{"no array", "row,column\n1,1\n", []string{`modules.csv:1:1: the column "array" is missing`}},
		{"no places", "array,row\nA,1\n", []string{"modules.csv:1:1: do not tell where the modules are"}},
		{"two ways", "array,row,column,x,y\nA,1,1,0 in,0 in\n", []string{"modules.csv:1:1: do not tell where"}},
		{"unknown", "array,row,colum\nA,1,1\n", []string{`modules.csv:1:11: did you mean "column"?`}},
		{"unit", "array,plane,row (ft),column\nA,B,1,1\n", []string{`modules.csv:1:13: takes no unit`}},
		{"twice", "array,plane,row,column\nA,B,1,1\nA,B,2,1\nA,B,1,1\n", []string{"modules.csv:4:5: two modules of the array \"A\" are at row 1, column 1"}},
		{"no number", "array,plane,row,column\nA,B,0,1\nA,B,x,\n,B,1,1\n", []string{`modules.csv:2:5: found "0"`, `modules.csv:3:5: found "x"`, `modules.csv:3:7: found ""`, "modules.csv:4:1: the line has no array"}},
		{"unlike", "array,plane,row,column,orientation\nA,B,1,1,portrait\nA,B,1,2,landscape\n", []string{`modules.csv:3:9: orientation of the array "A" is "landscape" here`}},
		{"no first", "array,plane,row,modules\nA,B,1,6\nA,B,2,4\n", []string{`modules.csv:2:5: have from 4 to 6 modules`}},
		{"long row", "array,plane,row,modules\nA,B,1,6000\n", []string{`modules.csv:2:7: the row has 6000 modules`}},
		{"many rows", "array,plane,row,column\nA,B,6000,1\n", []string{`modules.csv:2:1: a grid of 6000 rows`}},
		{"off the grid", "array,plane,x (in),y (in)\nA,B,0,0\nA,B,45,0\nA,B,92,0\nA,B,135,0\n", []string{`modules.csv:4:5: stands off the grid of the array "A" in x`}},
		{"no length", "array,plane,x (in),y\nA,B,0,0\nA,B,4 ft,\n", []string{`modules.csv:2:7: no unit is given`, `modules.csv:3:5: "4 ft in"`, "modules.csv:3:10: nothing is written"}},
		{"rows said", "array,plane,rows,row,column\nA,B,3,1,1\n", []string{"modules.csv:2:5: rows of the array \"A\" is 3, and the places of its modules make 1"}},
		{"no plane", "array,row,column\nA,1,1\n", []string{"modules.csv:2:1: array.A.plane is missing"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := drafted(Options{}, text("modules.csv", c.file))
			refused(t, err, c.want...)
		})
	}
	_, _, err := drafted(Options{}, text("modules.csv", "array,plane,module,orientation,x (in),y (in)\nA,B,M,portrait,0,0\nA,B,M,portrait,40,0\n"), text("module_types.csv", "name,length,width\nM,68 in,45 in\n"))
	refused(t, err, "modules.csv:2:16: stand 1016 mm apart along the eave, from corner to corner, and are 1143 mm long that way")
}

func TestFeet(t *testing.T) {
	modules := text("modules.csv", strings.ReplaceAll(modulesFile, "south", "South roof"))
	j, _ := mustDraft(t, Options{}, modules, text("feet.csv", "x (in), y (in)\n12, 13\n60, 13\n"))
	if a := j.Arrays[0].Attachments; a.File.Value != "feet.csv" || len(a.Points.Value) != 2 {
		t.Errorf("the feet are %+v", a)
	}
	j, _ = mustDraft(t, Options{}, modules, text("feet-south roof.csv", "x (in), y (in)\n12, 13\n"))
	if a := j.Arrays[0].Attachments; len(a.Points.Value) != 1 {
		t.Errorf("the feet are %+v", a)
	}
	_, _, err := drafted(Options{}, text("feet.csv", "x (in), y (in)\n12, 13\n"))
	refused(t, err, "feet.csv:1:1: the feet belong to no array")
	_, _, err = drafted(Options{}, modules, text("feet north=f.csv", "x (in), y (in)\n12, 13\n"))
	refused(t, err, "f.csv:1:1: does not tell which array")
	_, _, err = drafted(Options{}, modules, text("feet.csv", "x (in), y (in)\n12, 13\n12 ft, b\n"))
	refused(t, err, "feet.csv:3:1: 12 ft in", "feet.csv:3:8: b in")
}
