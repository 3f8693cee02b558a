package electrical

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// TestTablesKeepTheirShape guards what the functions rely on: rows in rising
// order, no gap between bands, factors that fall as it gets hotter.
func TestTablesKeepTheirShape(t *testing.T) {
	all := tables(t)
	rising := func(ed, name, col string, sign float64) {
		t.Helper()
		tab, err := all.Get("NEC", ed, name)
		if err != nil {
			t.Error(err)
			return
		}
		last := math.Inf(-1)
		for _, row := range tab.Rows {
			v, ok := tab.Number(row.Key, col)
			if !ok {
				v, ok = tab.Quantity(row.Key, col)
			}
			if ok {
				if sign*v < last {
					t.Errorf("%s %s: column %s is out of order at row %s", ed, name, col, row.Key)
				}
				last = sign * v
			}
		}
	}
	for _, ed := range editionsInFull {
		for _, m := range []string{"copper", "aluminum"} {
			for _, d := range []string{"60", "75", "90"} {
				rising(ed, "310.16", m+" "+d, 1)
			}
			rising(ed, "250.66", m+" up to", 1)
		}
		for _, d := range []string{"60", "75", "90"} {
			rising(ed, "310.15(B)(1)(1)", d, -1)
		}
		for _, d := range []string{"105", "125"} {
			rising(ed, "690.31(A)(3)(2)", d, -1)
		}
		rising(ed, "310.15(B)(1)(1)", "high", 1)
		rising(ed, "310.15(C)(1)", "percent", -1)
		rising(ed, "250.122", "rating", 1)
		rising(ed, "240.6(A)", "rating", 1)
		rising(ed, "690.7(A)", "cold end", -1)
		rising(ed, "690.7(A)", "factor", 1)
		rising(ed, "Chapter 9 Table 8", "area", 1)
		rising(ed, "Chapter 9 Table 8", "copper stranded", -1)
		rising(ed, "110.26(A)(1)", "up to", 1)
	}
}

// TestEveryTableHasItsEditions wants each table for the three editions that
// are known in full, sizes and insulations that can be read, and places that
// are cited by a section.
func TestEveryTableHasItsEditions(t *testing.T) {
	byName := map[string]map[string]*table.Table{}
	for _, tab := range tables(t).All() {
		if byName[tab.Name] == nil {
			byName[tab.Name] = map[string]*table.Table{}
		}
		byName[tab.Name][tab.Edition] = tab
		if tab.Section == "" {
			t.Errorf("%s %s has no section", tab.Edition, tab.Name)
		}
		for _, row := range tab.Rows {
			for _, c := range row.Cells {
				if s, ok := c.(string); ok && tab.Columns[0] == "size" {
					t.Errorf("%s %s, row %s: text %q among numbers", tab.Edition, tab.Name, row.Key, s)
				}
			}
		}
	}
	for name, known := range byName {
		for _, ed := range editionsInFull {
			if known[ed] == nil {
				t.Errorf("table %s is not known for %s", name, ed)
			}
		}
	}
	for _, name := range []string{"250.122", "250.66", "250.166"} {
		for _, row := range byName[name]["2023"].Rows {
			for _, m := range []string{"copper", "aluminum"} {
				text, ok := byName[name]["2023"].Text(row.Key, m)
				if _, err := quantity.ParseSize(text); ok && err != nil {
					t.Errorf("%s, row %s: %v", name, row.Key, err)
				}
			}
		}
	}
}

// TestSourcesAreNamed keeps addresses and empty names out of
// the tables.
func TestSourcesAreNamed(t *testing.T) {
	for _, tab := range tables(t).All() {
		b, err := json.Marshal(struct {
			Note    string
			Sources []table.Source
		}{tab.Note, tab.Sources})
		if err != nil {
			t.Fatal(err)
		}
		if s := string(b); strings.Contains(s, "http") {
			t.Errorf("%s %s carries an address: %s", tab.Edition, tab.Name, s)
		}
		for _, src := range tab.Sources {
			if src.Title == "" || src.Publisher == "" {
				t.Errorf("%s %s has a source without title or publisher", tab.Edition, tab.Name)
			}
		}
	}
}

// TestNamedTablesExist wants every table that the code asks for.
func TestNamedTablesExist(t *testing.T) {
	all := tables(t)
	for _, name := range []string{tableAmpacity, tableAmbient, tableAdjustment, tableRooftop, tableInsulation, tableParallel, tableTerminal,
		tableWorkingSpace, tableWorkingSize, tableNextSize, tableSmallConductor, tableStandard, tableElectrode, tableElectrodeLimit, tableGround,
		tableGroundIncrease, tableDCElectrode, tableRounding, tableVoltage, tableColdFactor, tableCurrent, tableStringOvercurrent, tablePVAmpacity,
		tablePVAmbient, tableSupplySide, tableSupplySum, tableBusbar, tableBusbarScope, tableFeeder, tableOutput, tableFill, tableRaceway,
		tableBareArea, tableProperties, tableResistanceCorrected, tableImpedance, tableSupplyLimiters, tableBonding} {
		for _, ed := range editionsInFull {
			if _, err := all.Get("NEC", ed, name); err != nil {
				t.Error(err)
			}
		}
	}
}
