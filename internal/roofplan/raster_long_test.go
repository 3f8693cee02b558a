//go:build long

package roofplan

import "testing"

func TestPathAgainstFineRasterOverJoinedPlanes(t *testing.T) { compareWithRaster(t, 600, 0.05) }
