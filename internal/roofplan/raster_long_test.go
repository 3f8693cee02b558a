//go:build long

package roofplan

import "testing"

func TestPathAgainstFineRasterOverJoinedPlanes(t *testing.T) { compareWithRaster(t, 1200, 0.05) }
