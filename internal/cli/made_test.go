package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plumbrule/internal/codebook"
)

// Whatever is written says which program and which rule set made it: people see
// enough of the hash to tell two apart, machines all of it.
func TestEverythingSaysWhatItWasMadeWith(t *testing.T) {
	book, err := codebook.Load(few())
	if err != nil {
		t.Fatal(err)
	}
	const built = "1.2.3-test"
	release = built
	t.Cleanup(func() { release = "" })
	beside(t, map[string]string{"faulty.toml": shed + fuse + big + low + bare})
	says := func(name, text, hash string) {
		t.Helper()
		if !strings.Contains(text, hash) || !strings.Contains(text, built) {
			t.Errorf("%s does not say that plumbrule %s made it with rule set %s", name, built, hash)
		}
	}
	whole, short := book.Hash, "ule set "+book.Hash[:12]
	forMachines := map[string]bool{".json": true, ".sarif": true, ".csv": true, ".junit.xml": true, ".html": true}
	args := []string{"check"}
	for _, w := range writers {
		args = append(args, "--write", "made"+w.ending)
	}
	text := runWith(t, few(), append(args, "faulty.toml")...).exits(exitOutstanding).stdout
	says("the report", text, short)
	for _, w := range writers {
		if strings.HasSuffix(w.ending, ".pdf") {
			continue // packed, and held to it in internal/paper
		}
		hash := short
		if forMachines[w.ending] {
			hash = whole
		}
		says(w.ending, read(t, "made"+w.ending), hash)
	}
	for _, list := range [][]string{{"--format", "full"}, {"--missing"}, {"--missing", "--format", "toml"}} {
		says(strings.Join(list, " "), runWith(t, few(), append(append([]string{"check"}, list...), "faulty.toml")...).stdout, short)
	}
	// Each line of a table says it, so that lines taken out of several tables do.
	for _, line := range strings.Split(strings.TrimSpace(read(t, "made.csv")), "\r\n")[1:] {
		if !strings.HasSuffix(line, ","+whole) {
			t.Errorf("the line %q does not say what made it", line)
		}
	}
	runWith(t, few(), "rules", "--sheets", "sheets").exits(exitClear)
	pages := 0
	err = filepath.WalkDir("sheets", func(name string, entry os.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		hash := short
		switch {
		case filepath.Base(name) == "index.md":
			hash = whole
		case filepath.Base(filepath.Dir(name)) == "guide":
			return nil // the same under any rules
		}
		pages++
		says(name, read(t, name), hash)
		return nil
	})
	if err != nil || pages < 3 {
		t.Errorf("%d pages: %v", pages, err)
	}
}
