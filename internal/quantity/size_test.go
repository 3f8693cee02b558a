package quantity

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

func TestParseSize(t *testing.T) {
	for want, texts := range map[string][]string{
		"10 AWG":     {"10 AWG", "10AWG", "10 awg", "#10", "# 10", "#10 AWG", "10", "AWG 10", "No. 10", " 10\u00a0AWG "},
		"14 AWG":     {"14", "#14"},
		"1 AWG":      {"1", "#1 AWG"},
		"1/0 AWG":    {"1/0", "1/0 AWG", "#1/0", "0", "0 AWG"},
		"4/0 AWG":    {"4/0", "4/0 AWG", "0000", "0000 AWG"},
		"250 kcmil":  {"250 kcmil", "250kcmil", "250 KCMIL", "250 MCM", "250 mcm", "250"},
		"2000 kcmil": {"2000", "2000 kcmil"},
	} {
		for _, text := range texts {
			if s, err := ParseSize(text); err != nil || s.String() != want {
				t.Errorf("ParseSize(%q) = %s, %v, want %s", text, s, err, want)
			}
		}
	}
}

func TestParseSizeErrors(t *testing.T) {
	const expected = `; a conductor size is expected, such as "10 AWG", "1/0 AWG" or "250 kcmil"`
	for text, want := range map[string]string{
		"":              `"": not a conductor size` + expected,
		"#":             `"#": not a conductor size` + expected,
		"6 mm2":         `"6 mm2": not a conductor size` + expected,
		"10 AWGG":       `"10 AWGG": not a conductor size` + expected + `; did you mean "10 AWG"?`,
		"250 kcmli":     `"250 kcmli": not a conductor size` + expected + `; did you mean "250 kcmil"?`,
		"AWG 250 kcmil": `"AWG 250 kcmil": not a conductor size` + expected,
		"-10":           `"-10": not a conductor size` + expected,
		"5/0":           `"5/0": no conductor has the size 5/0` + expected,
		"00000":         `"00000": no conductor has the size 00000` + expected,
		"15 AWG":        `"15 AWG": no conductor has the size 15 AWG (the nearest are 16 AWG and 14 AWG)` + expected,
		"275":           `"275": no conductor has the size 275 (the nearest are 250 kcmil and 300 kcmil)` + expected,
		"2500 MCM":      `"2500 MCM": no conductor has the size 2500 kcmil` + expected,
		"250 AWG":       `"250 AWG": 250 is not a size in AWG` + expected + `; did you mean "250 kcmil"?`,
		"10 kcmil":      `"10 kcmil": 10 is not a size in kcmil` + expected + `; did you mean "10 AWG"?`,
	} {
		s, err := ParseSize(text)
		if err == nil || err.Error() != want || s != 0 {
			t.Errorf("ParseSize(%q) = %s,\n got %v\nwant %s", text, s, err, want)
		}
	}
}

// The series of the National Electrical Code's conductor property table, from
// memory; the areas that go with it are table data and are checked there.
func TestSizesRunFromThinToThick(t *testing.T) {
	const series = "18 16 14 12 10 8 6 4 3 2 1 1/0 2/0 3/0 4/0 " +
		"250 300 350 400 500 600 700 750 800 900 1000 1250 1500 1750 2000"
	var keys []string
	sizes := Sizes()
	for i, s := range sizes {
		keys = append(keys, s.Key())
		back, err := ParseSize(s.String())
		if err != nil || back != s {
			t.Errorf("%s reads back as %s, %v", s, back, err)
		}
		if back, err = ParseSize(s.Key()); err != nil || back != s {
			t.Errorf("the key %s reads back as %s, %v", s.Key(), back, err)
		}
		next, ok := s.Next()
		if last := i == len(sizes)-1; ok == last || ok && (next != sizes[i+1] || !s.Less(next) || next.Less(s)) {
			t.Errorf("after %s comes %s, %v", s, next, ok)
		}
	}
	if got := strings.Join(keys, " "); got != series {
		t.Errorf("the series is %s", got)
	}
	if !slices.IsSortedFunc(sizes, Size.Compare) {
		t.Error("the sizes are not in order")
	}
}

func TestUnknownSize(t *testing.T) {
	for _, s := range []Size{0, 200} {
		if _, ok := s.Next(); ok || s.Known() || s.Key() != "" || s.String() != "unknown size" {
			t.Errorf("size %d is known as %s", uint8(s), s)
		}
	}
}

// FuzzParseSize: any text gives a size of the series that reads back, or an
// error and the unknown size.
func FuzzParseSize(f *testing.F) {
	for _, text := range []string{"10 AWG", "#10", "1/0", "0000", "250 MCM", "15 AWG", "AWG 6", "No. 8", "6 mm2", "", "9999999999999999999999"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSize(text)
		if err != nil {
			var e *Error
			if s != 0 || !errors.As(err, &e) || len(err.Error()) > 600 {
				t.Fatalf("ParseSize(%q) = %s, %v", text, s, err)
			}
			return
		}
		if back, err := ParseSize(s.String()); !s.Known() || err != nil || back != s {
			t.Fatalf("ParseSize(%q) = %s, which reads back as %s, %v", text, s, back, err)
		}
	})
}

func BenchmarkParseSize(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		ParseSize("250 kcmil")
	}
}
