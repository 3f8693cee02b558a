package table

import (
	"os"
	"testing"
	"testing/fstest"
)

// FuzzTable takes any text as a table: it is refused with a
// reason, whichever way it is read, or makes a table.
func FuzzTable(f *testing.F) {
	for _, name := range []string{"nec/110-26-a.toml", "nec/110-14-c.toml"} {
		if text, err := os.ReadFile("../../rules/tables/" + name); err == nil {
			f.Add(text)
		}
	}
	f.Add([]byte("name = \"one\"\ncode = \"X\"\ntitle = \"one\"\ncolumns = [\"a\", \"b\"]\nunits = [\"\", \"ft\"]\n[[data]]\neditions = [\"1\"]\nsection = \"1\"\nprovenance = \"published\"\nsources = [\"s\"]\nrows = [[1, \"2 ft\"], [2, 3]]\n"))
	f.Add([]byte("name = 1\n"))
	f.Add([]byte("columns = [[[\"a\"]]]\nunits = [\"\"]\nrows = [[]]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		for _, load := range []func(fstest.MapFS) (*Set, error){
			func(files fstest.MapFS) (*Set, error) { return Load(files, "tables") },
			func(files fstest.MapFS) (*Set, error) { return LoadProven(files, "tables") },
		} {
			set, err := load(fstest.MapFS{"tables/x/one.toml": {Data: text}})
			if set == nil && err == nil || err != nil && err.Error() == "" {
				t.Fatalf("set %v and error %v", set, err)
			}
		}
	})
}
