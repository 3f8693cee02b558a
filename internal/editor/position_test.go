package editor

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"
)

const awkward = "\uFEFFlow = \"−14 °F\" # 🔧 e\u0301\r\n\r\nx = '''a\rb'''\n\n\"é\" = 1"

// The characters of a line are counted as 16-bit units or as bytes; what lies
// beyond a line or a text is its end.
func TestPositions(t *testing.T) {
	text, before := withoutMark([]byte(awkward), false)
	l := newLines(text, false, before)
	at := func(s string) int { return strings.Index(string(text), s) }
	for _, test := range []struct {
		at     Position
		offset int
	}{
		{Position{0, 0}, 0}, // before the mark, which the text has not
		{Position{0, 1}, 0},
		{Position{0, 2}, 1},
		{Position{0, 1 + len("low = \"")}, at("−")},
		{Position{0, 1 + len("low = \"") + 1}, at("14")},
		{Position{0, 1 + len("low = \"-14 ")}, at("°")},
		{Position{0, 1 + len("low = \"-14 o")}, at("F\"")},
		{Position{0, 1 + len("low = \"-14 oF\" # ")}, at("🔧")},
		{Position{0, 1 + len("low = \"-14 oF\" # ") + 1}, at("🔧")}, // inside it
		{Position{0, 1 + len("low = \"-14 oF\" # ") + 2}, at(" e")},
		{Position{0, 999}, at("\r\n")},
		{Position{1, 5}, at("\r\n") + 2},
		{Position{2, 999}, at("\rb")},
		{Position{3, 0}, at("b'''")},
		{Position{5, 999}, len(text)},
		{Position{6, 0}, len(text)},
		{Position{-1, 3}, 0},
		{Position{0, -3}, 0},
	} {
		if got := l.Offset(test.at); got != test.offset {
			t.Errorf("%+v is byte %d, want %d", test.at, got, test.offset)
		}
	}
	if got := l.Position(at("F\"")); got != (Position{0, 1 + len("low = \"-14 o")}) {
		t.Errorf("the unit stands at %+v", got)
	}
	if got := newLines(text, true, 3).Position(at("F\"")); got != (Position{0, 3 + at("F\"")}) {
		t.Errorf("counted in bytes the unit stands at %+v", got)
	}
	if got := l.Range(-4, 1<<20); got != (Range{Position{0, 1}, Position{5, 7}}) {
		t.Errorf("all of it is %+v", got)
	}
}

// FuzzPositions holds the positions of every character against a client's way
// of counting: the text as 16-bit units, line by line.
func FuzzPositions(f *testing.F) {
	for _, seed := range []string{awkward, "", "\r", "\n\r\n\r\r\n", "🔧\n🔧", "a\xffb\n\xe2\x88", "−14 °F", "x\n" + strings.Repeat("−14 °🔧", 700) + "\r\ny"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, bytes := range []bool{false, true} {
			l := newLines([]byte(text), bytes, 0)
			want := Position{}
			for i, r := range text {
				if got := l.Position(i); got != want {
					t.Fatalf("%q: byte %d stands at %+v, want %+v", text, i, got, want)
				}
				// The middle of a line break is no place of its own.
				inBreak := r == '\n' && i > 0 && text[i-1] == '\r'
				if back := l.Offset(want); back != i && !inBreak {
					t.Fatalf("%q: byte %d comes back as %d", text, i, back)
				}
				size := 1
				if r != utf8.RuneError {
					size = utf8.RuneLen(r)
				}
				if r == utf8.RuneError && strings.HasPrefix(text[i:], "\uFFFD") {
					size = 3
				}
				switch {
				case r == '\n' || r == '\r' && !strings.HasPrefix(text[i+1:], "\n"):
					want = Position{want.Line + 1, 0}
				case bytes:
					want.Character += size
				default:
					want.Character += len(utf16.Encode([]rune{r}))
				}
			}
			if got := l.Offset(Position{len(l.starts), 0}); got != len(text) {
				t.Fatalf("%q: a line beyond the text is byte %d", text, got)
			}
		}
	})
}

// screen is a text as a client holds it: 16-bit units.
type screen []uint16

// edit puts a text in the place of the units from start to end.
func (s screen) edit(start, end int, text string) screen {
	return slices.Concat(s[:start], utf16.Encode([]rune(text)), s[end:])
}

// position counts a unit as a client does.
func (s screen) position(at int) Position {
	p := Position{}
	for i := range at {
		if s[i] == '\n' || s[i] == '\r' && (i+1 == len(s) || s[i+1] != '\n') {
			p = Position{Line: p.Line + 1}
		} else {
			p.Character++
		}
	}
	return p
}

// between tells whether a place is one that a client names: not inside a
// character of two units, nor inside a line break.
func (s screen) between(at int) bool {
	if at <= 0 || at >= len(s) {
		return true
	}
	return !(utf16.IsSurrogate(rune(s[at])) && s[at] >= 0xDC00 && s[at-1]&0xFC00 == 0xD800) && !(s[at-1] == '\r' && s[at] == '\n')
}

// FuzzChanges types at random places and wants the server's text to be the
// client's after every change, whether changes come one by one or together.
func FuzzChanges(f *testing.F) {
	f.Add(awkward, "🔧−14 °F\r\n\n\r", uint64(1))
	f.Add("", "a\r", uint64(2))
	f.Add("\uFEFF", "\uFEFFx\n", uint64(3))
	f.Add("\r\n\r\n", "\r\n", uint64(4))
	f.Fuzz(func(t *testing.T, text, typed string, seed uint64) {
		text, typed = strings.ToValidUTF8(text, "?"), strings.ToValidUTF8(typed, "?")
		if len(text) > 1000 || len(typed) > 200 {
			t.Skip()
		}
		random := rand.New(rand.NewPCG(seed, 0))
		shown := screen(utf16.Encode([]rune(text)))
		server, before := withoutMark([]byte(text), false)
		together, mark := slices.Clone(server), before
		var changes []ContentChange
		for range 12 {
			start := random.IntN(len(shown) + 1)
			end := start + random.IntN(len(shown)-start+1)
			for !shown.between(start) {
				start--
			}
			for !shown.between(end) {
				end++
			}
			if before > 0 {
				start, end = max(start, 1), max(end, 1) // a client does not type before its mark
			}
			from := random.IntN(len(typed) + 1)
			part := strings.ToValidUTF8(typed[from:], "?")
			change := ContentChange{&Range{shown.position(start), shown.position(end)}, part}
			if random.IntN(10) == 0 {
				change.Range, start, end = nil, 0, len(shown)
			}
			shown = shown.edit(start, end, part)
			server, before = changed(server, []ContentChange{change}, false, before)
			changes = append(changes, change)
			want := string(utf16.Decode(shown))
			if before > 0 {
				want = strings.TrimPrefix(want, "\uFEFF")
			}
			if string(server) != want {
				t.Fatalf("after %+v the server has\n%q\nand the client\n%q", change, server, want)
			}
		}
		if together, mark = changed(together, changes, false, mark); string(together) != string(server) || mark != before {
			t.Fatalf("together: %q, one by one: %q", together, server)
		}
	})
}

// A document keeps every byte at its place, whatever is blanked to read it.
func FuzzDocument(f *testing.F) {
	for _, seed := range []string{awkward, "a = [", "[x\n[x]\na = 1\na = 2\n", "\uFEFF\uFEFFa = 1", "\x00", "a = \"\xff"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d := NewDocument("file:///f.toml", "/f.toml", 1, []byte(text))
		if want := strings.TrimPrefix(text, "\uFEFF"); string(d.File.Text) != want || len(d.Mended.Text) != len(want) {
			t.Fatalf("%q: the file has %q, mended %q", text, d.File.Text, d.Mended.Text)
		}
		if (d.Syntax == nil) != (d.Mended == d.File) {
			t.Fatalf("%q: faults %v, mended %v", text, d.Syntax, d.Mended != d.File)
		}
	})
}
