package all

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

// The raceways that a job may name are those of the table, in every edition.
func TestRacewaysOfTheTable(t *testing.T) {
	set, err := table.Load(rules.FS, "tables")
	if err != nil {
		t.Fatal(err)
	}
	field, _ := reflect.TypeOf(job.Circuit{}).FieldByName("Raceway")
	choice := strings.Split(field.Tag.Get("choice"), "|")
	for _, edition := range []string{"2017", "2020", "2023", "2026"} {
		table, err := set.Get("NEC", edition, "raceways")
		if err != nil {
			t.Fatal(err)
		}
		var rows []string
		for _, row := range table.Rows {
			rows = append(rows, row.Key)
		}
		if !slices.Equal(rows, choice) {
			t.Errorf("%s: the table has %v, the job may name %v", edition, rows, choice)
		}
	}
}
