package from

import (
	"errors"
	"strings"
	"testing"

	"plumbrule/internal/source"
)

// FuzzRead holds that any file is read to a job or refused with places, and
// that what is read of outlines is always a job.
func FuzzRead(f *testing.F) {
	for _, name := range []string{"../../../../testdata/drafts/hip-roof.dxf", "court-r12.dxf", "faulty.dxf"} {
		f.Add("r.dxf", fixture(f, name).File.Text)
	}
	f.Add("r.dxf", []byte(dxfOf("ROOF_a 0 0 100 0 100 100 0 100", "ROOF_b 0 0 100 0", "ROOF_b 100 0 100 80", "ROOF_b 100 80 0 0", "HOLE 10 50 20 50 20 60", "VENT 1 1 2 1 2 2")))
	f.Add("r.json", []byte(`{"type":"Feature","properties":{"name":"a"},"geometry":{"type":"Polygon","coordinates":[[[-93.1,44.5],[-93.0999,44.5],[-93.0999,44.5001],[-93.1,44.5]],[[-93.09995,44.50002],[-93.09995,44.50005],[-93.09992,44.50005],[-93.09995,44.50002]]]}}`))
	f.Add("modules.csv", []byte(modulesFile))
	f.Add("modules.csv", []byte("array,plane,x (mm),y (mm)\nA,roof,0,0\nA,roof,1146,0\nB,roof,5000,0\n"))
	f.Add("circuits.csv", []byte("name;kind;strings;length (ft)\nC1;string;\"S1; S2\";12\n"))
	f.Add("arrays.csv", []byte("name,plane,origin x (ft),origin y (in),attachments.lines (in)\nA,roof,3,18,12; 54.5\n"))
	f.Fuzz(func(t *testing.T, name string, content []byte) {
		_, _, err := drafted(Options{Unit: "in"}, Source{"", source.NewFile(name, content)})
		if err == nil {
			return
		}
		var faults source.Faults
		if !errors.As(err, &faults) {
			t.Fatalf("an error without places: %v", err)
		}
		for _, fault := range faults {
			if !fault.At.Known() || fault.At.File.Name == "job.toml" {
				t.Errorf("no place: %s", fault.Error())
			}
			// Only a schedule can say what the job itself refuses.
			if fault.Path != "" && !strings.HasSuffix(strings.ToLower(name), ".csv") {
				t.Errorf("outlines make no job: %s", fault.Error())
			}
		}
	})
}
