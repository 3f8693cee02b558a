package calculator

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
)

// bounded reports whether an input is a number, which has a range.
func bounded(in Input) bool { return in.Kind == Quantity || in.Kind == Number || in.Kind == Count }

// TestRanges wants a range on every number of every calculator, the example
// within it, and words for each optional input that is left out.
func TestRanges(t *testing.T) {
	for _, c := range All() {
		for _, in := range c.Inputs {
			if in.Optional && in.TakenAs() == "" {
				t.Errorf("%s %s: nothing says what leaving it out is taken as", c.Name, in.Name)
			}
			if !bounded(in) {
				continue
			}
			least, err1 := in.bound(in.Least)
			most, err2 := in.bound(in.Most)
			if err := errors.Join(err1, err2); err != nil || !(least < most) {
				t.Errorf("%s %s: range %q: %v", c.Name, in.Name, in.Expected(), err)
			}
		}
	}
}

// TestAbsurdInputs puts values that no job has into each number of each
// worked example: not a number, without end, far outside the range on either
// side, and, where the range begins above zero, zero and below. Each is refused
// by the name of the input and with what is expected.
func TestAbsurdInputs(t *testing.T) {
	tables := loadTables(t)
	tried := 0
	for _, c := range All() {
		for _, in := range c.Inputs {
			if !bounded(in) {
				continue
			}
			least, _ := in.bound(in.Least)
			most, _ := in.bound(in.Most)
			span := most - least
			absurd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), most + span/1000, most + 1000*span, least - span/1000, least - 1000*span}
			if least > 0 {
				absurd = append(absurd, 0, -most, least/1000)
			}
			for _, v := range absurd {
				text := strconv.FormatFloat(v, 'g', -1, 64)
				if in.Kind == Quantity {
					text += " " + in.Dim.BaseUnit()
				}
				_, err := c.Call(with(c.Example, in.Name, text), tables)
				var refused *InputError
				if !errors.As(err, &refused) || !strings.Contains(err.Error(), in.Name+": ") {
					t.Errorf("%s %s=%s: %v", c.Name, in.Name, text, err)
				}
				tried++
			}
		}
	}
	if tried < 800 {
		t.Errorf("%d values were tried", tried)
	}
}

// with gives arguments with one of them put in or replaced.
func with(arguments []string, name, value string) []string {
	var out []string
	for _, a := range arguments {
		if n, _, _ := strings.Cut(a, "="); n != name {
			out = append(out, a)
		}
	}
	return append(out, name+"="+value)
}

// TestRefusals holds what a range of one input cannot say.
func TestRefusals(t *testing.T) {
	tables := loadTables(t)
	for _, test := range []struct{ calculator, arguments, names string }{
		{"hot-voltage", "vmp=36 V|modules=10|ambient-high=40 degC|rise=30 degC|vmp-coefficient=0.3 %/degC", "vmp-coefficient"},
		{"hot-voltage", "vmp=36 V|modules=10|ambient-high=40 degC|rise=30 degC|vmp-coefficient=-0.0003 %/degC", "vmp-coefficient"},
		{"cold-voltage", "voc=49.5 V|modules=12|record-low=-5 degC|voc-coefficient=-5 %/degC|nec=2023", "voc-coefficient"},
		{"cold-voltage", "voc=49.5 V|modules=12|record-low=-5 degC|voc-coefficient=0.1 V/degC|nec=2023", "voc-coefficient"},
		{"equipment-ground", "overcurrent=20 A|material=copper|minimum-size=6 AWG|installed-size=12 AWG|nec=2023", "installed-size"},
		{"array-edge", "height=15 ft|edge-distance=10 ft|gap-to-array=3 ft|gap-to-next=3 ft|end-distance=2 ft|chord=3.3 ft|asce=7-22", "height-above-roof"},
		{"screw-pullout", "diameter=25 in|thickness=0.06 in|tensile=45 ksi", "diameter"},
		{"lag-withdrawal", "specific-gravity=0.5|diameter=5/16 in|thread=2.5 in|duration=16", "duration"},
		{"ampacity", "size=10 AWG|material=copper|insulation=THWN-2|ambient=85 degC|above-roof=0 ft|nec=2023", "ambient"},
		{"attachment-uplift", "pressure=-34 psf|tributary=12 ft2|dead=3 psf|slope=89 deg", "slope"},
	} {
		c := byName(t, test.calculator)
		_, err := c.Call(strings.Split(test.arguments, "|"), tables)
		var refused *InputError
		if !errors.As(err, &refused) || !strings.Contains(err.Error(), test.names) {
			t.Errorf("%s %s: %v", test.calculator, test.arguments, err)
		}
	}
}

func byName(t testing.TB, name string) *Calculator {
	for _, c := range All() {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no calculator %s", name)
	return nil
}

// TestWordsInAnyCase gives the same answer for every spelling of a word.
func TestWordsInAnyCase(t *testing.T) {
	tables := loadTables(t)
	for _, test := range []struct{ calculator, input, value string }{
		{"ampacity", "material", "Copper"}, {"ampacity", "insulation", "thwn-2"}, {"raceway-fill", "raceway", "emt"},
		{"raceway-fill", "conductors", "4x10 awg thwn-2,1x10 AWG THWN-2"}, {"velocity-pressure", "EXPOSURE", "b"}, {"pressure-coefficient", "zone", "2N"},
	} {
		c := byName(t, test.calculator)
		want, err := c.Call(c.Example, tables)
		if err != nil {
			t.Fatal(err)
		}
		arguments := with(c.Example, strings.ToLower(test.input), test.value)
		if test.input != strings.ToLower(test.input) {
			arguments[len(arguments)-1] = test.input + "=" + test.value
		}
		got, err := c.Call(arguments, tables)
		if err != nil || fmt.Sprint(got.Items) != fmt.Sprint(want.Items) {
			t.Errorf("%s %s=%s: %v, %v", test.calculator, test.input, test.value, got, err)
		}
	}
}

// TestOneBasis wants each required ampacity of a conductor beside what the size
// gives under the same conditions, in parallel sets too.
func TestOneBasis(t *testing.T) {
	tables := loadTables(t)
	for _, sets := range []string{"1", "2"} {
		r, err := byName(t, "conductor").Call([]string{"maximum-current=300 A", "material=copper", "insulation=THWN-2", "ambient=45 degC", "current-carrying=6", "terminal=75 degC", "sets=" + sets, "nec=2023"}, tables)
		if err != nil {
			t.Fatal(err)
		}
		for _, test := range []string{"test1", "test2"} {
			need, _ := r.Number(test + "-required")
			have, _ := r.Number(test + "-available")
			if !(need > 0) || need > have || have > 2*need {
				t.Errorf("%s sets, %s: needs %.1f A, has %.1f A", sets, test, need, have)
			}
		}
	}
}

// TestWorkIsInTheWritersUnits writes SI where the inputs are SI, and a terminal
// in degC makes nothing metric.
func TestWorkIsInTheWritersUnits(t *testing.T) {
	tables := loadTables(t)
	us, err := byName(t, "ampacity").Call(byName(t, "ampacity").Example, tables)
	if err != nil || strings.Contains(strings.Join(us.Work, "\n"), " mm") {
		t.Errorf("%v, %v", us, err)
	}
	si, err := byName(t, "effective-area").Call([]string{"span=1.2 m", "width=0.8 m"}, tables)
	if err != nil || !strings.Contains(si.Work[0], "m2") || strings.Contains(si.Work[0], "ft") {
		t.Errorf("%v, %v", si, err)
	}
}

// FuzzCall gives any text to any input: an answer is finite, or the call is
// refused without a panic.
func FuzzCall(f *testing.F) {
	tables := loadTables(f)
	all := All()
	for i, c := range all {
		for j, in := range c.Inputs {
			f.Add(uint(i), uint(j), in.Least)
			f.Add(uint(i), uint(j), "1e308")
			f.Add(uint(i), uint(j), "4x10 bare,-1x0 in")
		}
	}
	f.Fuzz(func(t *testing.T, i, j uint, text string) {
		c := all[i%uint(len(all))]
		in := c.Inputs[j%uint(len(c.Inputs))]
		r, err := c.Call(with(c.Example, in.Name, text), tables)
		if err != nil {
			return
		}
		if len(r.Items) != len(c.Outputs) {
			t.Errorf("%d results of %d", len(r.Items), len(c.Outputs))
		}
		for _, it := range r.Items {
			if v, ok := it.Value.(float64); ok && (math.IsNaN(v) || math.IsInf(v, 0)) {
				t.Errorf("%s is %v", it.Key, v)
			}
		}
	})
}
