package schedule

import (
	"testing"

	"plumbrule/internal/source"
)

// FuzzRead reads any text as a schedule: it ends, lines go on and never back,
// and each field has a place in the file.
func FuzzRead(f *testing.F) {
	f.Add([]byte("a,b\n# remark\n 1, \"x y\"\r\n"), true, false)
	f.Add([]byte("a;b\n1,5;2\n"), false, false)
	f.Add([]byte("a,b\n4 1/2\",\"2\n3"), false, true)
	f.Fuzz(func(t *testing.T, text []byte, plain, inches bool) {
		file := source.NewFile("f.csv", text)
		lines := Read(file, Form{Separator: Separator(text), Plain: plain, Inches: inches})
		last := 0
		for n := 0; ; n++ {
			fields, err := lines.Next()
			if fields == nil {
				if err != nil && err.Error() == "" {
					t.Error("an error without words")
				}
				return
			}
			if n > len(text) || lines.Line() < last {
				t.Fatalf("line %d follows line %d, the %d. of %d bytes", lines.Line(), last, n, len(text))
			}
			last = lines.Line()
			for i := range fields {
				if at := lines.Place(i); !at.Known() || at.Position().Line < 1 {
					t.Fatalf("field %d of line %d has no place", i, last)
				}
			}
		}
	})
}
