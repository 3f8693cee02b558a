package quantity

import "testing"

func TestParseScale(t *testing.T) {
	for _, c := range []struct {
		text    string
		x, base float64
		name    string
	}{
		{"in", 6, 0.1524, "in"},
		{"%", 53, 0.53, "%"},
		{"degF", 212, 100, "degF"},
		{"delta K", 35, 35, "K"},
		{"K", 300, 26.85, "K"},
		{"ohm/kft", 3.048, 0.01, "ohm/kft"},
		{"1/K", 0.00323, 0.00323, "1/K"},
		{"1/in", 0.254, 10, "1/in"},
		{"ft/deg", 50, 15.24, "ft/deg"},
		{"lb/ft3", 14, 2199.2226, "lb/ft3"},        // 157.08746 N/m3 for one (NIST SP 811, 2008, B.8)
		{"psf/mph2", 0.00256, 0.61334, "psf/mph2"}, // the metric form of the velocity pressure has 0.613
		{"cmil", 1e6, 5.067075e-4, "cmil"},         // NIST SP 811, 2008, B.8
	} {
		s, ok := ParseScale(c.text)
		if !ok || s.String() != c.name || s.Plain() {
			t.Errorf("%q: %q %v", c.text, s, ok)
		}
		if got := s.Base(c.x); got < c.base*(1-1e-5) || got > c.base*(1+1e-5) {
			t.Errorf("%v %s: %v in the base unit, want %v", c.x, c.text, got, c.base)
		}
		if back := s.Written(s.Base(c.x)); !Near(back, c.x) {
			t.Errorf("%v %s comes back as %v", c.x, c.text, back)
		}
	}
	for _, text := range []string{"", "feets", "1", "/", "1/", "ft/", "h2", "ft/degF", "psf/mph4", "2/ft", "1/1", "ft/deg/ft"} {
		if s, ok := ParseScale(text); ok {
			t.Errorf("%q is read as %q", text, s)
		}
	}
	if s := (Scale{}); !s.Plain() || s.Base(7) != 7 || s.Written(7) != 7 {
		t.Error("the zero scale is not that of plain numbers")
	}
}
