package cli

import (
	"regexp"
	"testing"

	"plumbrule/internal/guide"
)

// What the pages of the guide tell a reader to run is there.
func TestGuideCommands(t *testing.T) {
	lists := map[string]bool{"guide": true, "keys": true, "schema": true, "rules": true}
	ran := 0
	for _, page := range guide.Pages() {
		for _, shown := range regexp.MustCompile("`plumbrule ([^`]+)`").FindAllStringSubmatch(page.Text, -1) {
			args := words(shown[1])
			for i, a := range args {
				if a == ">" {
					args = args[:i]
					break
				}
			}
			if !lists[args[0]] {
				args = []string{"help", args[0]} // what it reads and writes is the reader's
			}
			run(t, args...).exits(exitClear)
			ran++
		}
	}
	if ran < 8 {
		t.Errorf("only %d commands were run", ran)
	}
}
