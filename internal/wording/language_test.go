package wording

import "testing"

func TestSay(t *testing.T) {
	us := &Language{us: true, job: []byte("name = \"Town centre\"\nlicence = \"X\"\n")}
	si := &Language{}
	for _, c := range []struct{ in, us, si string }{
		{"at -14 degF and 40.5 degF", "at −14 °F and 40.5 °F", "at −14 °F and 40.5 °F"},
		{"in degC", "in °C", "in °C"},
		{"a gap of 0.375 in, 2.5 in, 1.1875 in", "a gap of ⅜ in, 2½ in, 1 3/16 in", "a gap of 0.375 in, 2.5 in, 1.1875 in"},
		{"11.74 in, 0.5 in2, 0.5 in/ft, 0.5 inward", "11.74 in, 0.5 in2, 0.5 in/ft, 0.5 inward", "11.74 in, 0.5 in2, 0.5 in/ft, 0.5 inward"},
		{"Licence of a labelled metre", "License of a labeled meter", "Licence of a labelled metre"},
		{"state project.licence, project_licence", "state project.licence, project_licence", "state project.licence, project_licence"},
		{"centre of the job's own", "centre of the job's own", "centre of the job's own"},
		{"", "", ""},
	} {
		if got := us.Say(c.in); got != c.us {
			t.Errorf("US: %q gives %q, expected %q", c.in, got, c.us)
		}
		if got := si.Say(c.in); got != c.si {
			t.Errorf("SI: %q gives %q, expected %q", c.in, got, c.si)
		}
	}
}

func TestInches(t *testing.T) {
	for in, want := range map[string]string{"0.5": "½", "2.25": "2¼", "3": "3", "3.0": "3.0", "0.0625": "1/16", "4.9375": "4 15/16", "1.3": "1.3", "x": "x"} {
		if got := Inches(in); got != want {
			t.Errorf("%s gives %q, expected %q", in, got, want)
		}
	}
}

func TestSigns(t *testing.T) {
	for in, want := range map[string]string{"at least 36 in": "≥ 36 in", "at most 600 V": "≤ 600 V", "equal to 3": "= 3", "true": "true"} {
		if got := Signs(in); got != want {
			t.Errorf("%s gives %q, expected %q", in, got, want)
		}
	}
}
