package profile

import (
	"fmt"
	"strings"
	"testing"
)

// Flanks as V ways usually have them are taken in silence: 45 on both sides, 25 and 65, 35 and 55 (common practice, no
// source). Others are warned of once, at the key that is odd, and taken all the same.
func TestOddFlanks(t *testing.T) {
	for _, c := range []struct {
		outer, inner float64
		key, says    string
	}{
		{45, 45, "", ""}, {25, 65, "", ""}, {65, 25, "", ""}, {35, 55, "", ""}, {60, 30, "", ""}, {50, 35, "", ""},
		{14, 45, "lathe.front_way.outer_angle", "a flank of 14 degrees"},
		{45, 80, "lathe.front_way.inner_angle", "a flank of 80 degrees"},
		{65, 65, "lathe.front_way.inner_angle", "would meet at 50 degrees"}, // 180 − 65 − 65
		{25, 25, "lathe.front_way.inner_angle", "would meet at 130 degrees"},
	} {
		text := fmt.Sprintf("format = 1\nunit = \"mm\"\n[lathe]\ncentre_height = 150\nway_span = 200\nbed = [-200, "+
			"1000]\n[lathe.front_way]\nouter_angle = %v\ninner_angle = %v\n[lathe.saddle]\nbearing_length = 250\n",
			c.outer, c.inner)
		p, err := Parse(nil, "profile", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if c.key == "" {
			if len(p.Warnings) > 0 {
				t.Errorf("%v and %v: %v", c.outer, c.inner, p.Warnings)
			}
			continue
		}
		if len(p.Warnings) != 1 || p.Warnings[0].Key != c.key || !strings.Contains(p.Warnings[0].Message, c.says) {
			t.Errorf("%v and %v: %v; want one of %s that says %q", c.outer, c.inner, p.Warnings, c.key, c.says)
		}
	}
}
