package job

import (
	"testing"

	"plumbrule/internal/quantity"
)

// Codes and terminals state temperatures in degC in every country: they do not
// turn a job written in feet into one that is printed in metres.
func TestTemperaturesDoNotChooseTheUnits(t *testing.T) {
	text := "[project]\nname = \"Barn\"\n[site]\nelevation = \"420 ft\"\n"
	for _, name := range []string{"a", "b", "c"} {
		text += "[[circuit]]\nname = \"" + name + "\"\nkind = \"branch\"\nterminal = \"75 degC\"\nambient = \"40 degC\"\n"
	}
	j, err := Parse("job.toml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	if j.System() != quantity.US {
		t.Error("a job in feet with terminals in degC is printed in metres")
	}
}
