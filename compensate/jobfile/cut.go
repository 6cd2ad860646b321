package jobfile

import (
	"fmt"
	"math"

	"wornway/compensate/bend"
	"wornway/compensate/work"
	"wornway/profile/document"
	"wornway/profile/form"
)

// Plausible finishing cuts (common practice, no source).
const (
	deepestFinish  = 2.0  // mm on radius
	coarsestFinish = 1.0  // mm per turn
	hardestPush    = 2000 // N
	mostSprings    = 20
)

// pushed begins what Finish.Source says.
const pushed = "the force away from the tool is "

// NotCalculated is what Finish.Source says where no cut is described.
const NotCalculated = "the job describes no finishing cut"

func (r *reader) cut(job *document.Table) {
	c := &r.part.Cut
	c.Source = NotCalculated
	t, ok := job.Table("cut")
	if !ok {
		return
	}
	byForce, byCollars := t.Has("radial_force"), t.Has("collars")
	calculated := !byForce && !byCollars
	c.Depth = r.Length(t, "depth", form.Limit{Required: !byForce, Above: form.Zero}, 0)
	c.Feed = r.Length(t, "feed", form.Limit{Required: calculated, Above: form.Zero}, 0)
	approach := 90.0
	if v, ok := r.Number(t, "approach", form.Limit{}); ok {
		if approach = v; !(v >= 10 && v <= 110) {
			t.Fault("approach", how("job.cut.approach"), "must lie between 10 and 110 degrees")
		}
	}
	if s := r.part.Stock; s > 0 && c.Depth >= s/2 {
		t.Fault("depth", how("job.cut.depth"), "is the whole radius of the stock, or more")
	} else if c.Depth > deepestFinish {
		r.Warn(t, "depth", how("job.cut.depth"), "more than 2 mm (0.08 in) on the radius is no finishing cut")
	}
	if c.Feed > coarsestFinish {
		r.Warn(t, "feed", how("job.cut.feed"), "more than 1 mm (0.04 in) per turn is no finishing feed")
	}
	if v, ok := r.Number(t, "spring_passes", form.Limit{AtLeast: form.Zero}); ok {
		if v != math.Trunc(v) || v > mostSprings {
			t.Fault("spring_passes", how("job.cut.spring_passes"), "must be a whole number, no more than %d",
				mostSprings)
		} else {
			c.SpringPasses = int(v)
		}
	}
	r.metal(job, calculated)
	r.force(t, c, approach*math.Pi/180)
	// the stiffer the chuck, the harder the push that collars show
	if most, _, err := c.Force(0); err == nil && most > hardestPush {
		key := ""
		if byForce {
			key = "radial_force"
		}
		r.Warn(t, key, "check the numbers, the file's unit, and that the force is in newtons",
			"a force of %.0f N is far more than a finishing cut has", most)
	}
}

// metal asks for what the work's stiffness, and where it has to be calculated the force, come from.
func (r *reader) metal(job *document.Table, calculated bool) {
	switch {
	case job.Has("material"):
	case !job.Has("modulus") && !job.Has("specific_force"):
		job.Missing("material", "with a cut the work's bending is calculated: name its material, or give modulus and "+
			"specific_force")
	case !job.Has("modulus"):
		job.Missing("modulus", how("job.modulus"))
	case calculated && !job.Has("specific_force"):
		job.Missing("specific_force", "the force is calculated from it; or state radial_force in newtons, or cut two "+
			"collars")
	}
}

// force reads the force away from the tool: as it is stated, from two collars, or as a share of what cutting the
// material takes.
func (r *reader) force(t *document.Table, c *work.Finish, approach float64) {
	collars, tried := t.Table("collars")
	many := 0
	for _, k := range []string{"radial_force", "collars", "radial_share"} {
		if t.Has(k) {
			many++
		}
	}
	if many > 1 {
		for _, k := range []string{"radial_force", "radial_force_uncertainty", "radial_share"} {
			t.Has(k)
		}
		if tried {
			for _, k := range collars.Keys() {
				collars.Has(k)
			}
		}
		t.Fault("", "keep the one that is known best: collars, else radial_force, else radial_share",
			"radial_force, collars and radial_share stand in place of each other")
		return
	}
	if t.Has("radial_force_uncertainty") && !t.Has("radial_force") {
		t.Fault("radial_force_uncertainty", "give radial_force too, or leave it out",
			"there is no radial_force that it could belong to")
		t.Scalar("radial_force_uncertainty")
		return
	}
	switch {
	case t.Has("radial_force"):
		if v, ok := r.Force(t, "radial_force", form.Limit{Above: form.Zero}); ok {
			c.Radial, c.URadial, c.Source = v, v/10, pushed+"as the job file states it"
		}
		if v, ok := r.Force(t, "radial_force_uncertainty", form.Limit{AtLeast: form.Zero}); ok {
			if c.URadial = v; c.Radial > 0 && v > c.Radial {
				r.Warn(t, "radial_force_uncertainty", "it is a standard uncertainty, in newtons",
					"it is more than the force itself")
			}
		}
	case tried:
		r.collars(collars, c)
	case t.Has("collars"): // a fault already
	default:
		r.share(t, c, approach)
	}
}

// share calculates the force from the material, depth and feed.
func (r *reader) share(t *document.Table, c *work.Finish, approach float64) {
	share := bend.RadialShare
	if v, ok := r.Number(t, "radial_share", form.Limit{Above: form.Zero}); ok {
		if share = v; v > 2 {
			t.Fault("radial_share", how("job.cut.radial_share"), "must not be more than 2")
		}
	}
	if r.specific == nil || c.Depth == 0 || c.Feed == 0 {
		return // faults already
	}
	force, u := bend.Radial(r.specific.Cutting(c.Depth, c.Feed, approach))
	c.Radial, c.URadial = force*share/bend.RadialShare, u*share/bend.RadialShare
	what := "the specific cutting force that the job file states"
	if r.part.Material != "" {
		what = r.specific.What
	}
	c.Source = fmt.Sprintf(pushed+"calculated from depth, feed and %s, %v of the cutting force being taken to push "+
		"the work away (common practice, no source)", what, share)
}

// collars reads two collars that were cut side by side at two depths, the dial set alike for their last pass.
func (r *reader) collars(t *document.Table, c *work.Finish) {
	out := r.Length(t, "distance", needed, 0)
	diameter := r.Length(t, "diameter", needed, 0)
	var depths [2]float64
	v, ok := t.Numbers("depths")
	switch {
	case ok && len(v.V) != 2:
		t.Fault("depths", how("job.cut.collars.depths"), "must be two depths")
		ok = false
	case ok && !(v.V[0] > 0 && v.V[1] > v.V[0]):
		t.Fault("depths", "write the shallow one first", "must be greater than zero and ascend")
		ok = false
	case ok && v.V[1] > 1e6:
		t.Fault("depths", "check the numbers and the file's unit", "is more than any lathe has")
		ok = false
	case ok:
		depths = [2]float64{r.Unit.ToMM(v.V[0]), r.Unit.ToMM(v.V[1])}
	case !t.Has("depths"):
		t.Missing("depths", how("job.cut.collars.depths"))
	}
	oversize := r.Length(t, "oversize", needed, 0)
	u := r.Length(t, "uncertainty", needed, 0)
	if !ok || out == 0 || diameter == 0 || oversize == 0 || u == 0 || c.Depth == 0 || r.part.Modulus == 0 {
		return // faults already
	}
	trial := &bend.Trial{Distance: out, Diameter: diameter, Modulus: r.part.Modulus,
		Collars: bend.Collars{Depths: depths, Oversize: oversize, U: u}}
	if _, err := trial.In(0); err != nil {
		t.Fault("", "check distance and diameter", "the bar that the collars were cut on cannot be: %v", err)
		return
	}
	c.Collars = trial
	switch force, uForce, err := c.Force(0); {
	case err != nil:
		c.Collars = nil
		t.Fault("oversize", how("job.cut.collars.oversize"), "%v", err)
		return
	case !(force > 0) || math.IsInf(force, 0) || math.IsNaN(uForce) || math.IsInf(uForce, 0):
		c.Collars = nil
		t.Fault("oversize", "check the numbers and the file's unit", "does not fit the bar and the depths")
		return
	}
	c.Source = pushed + "from two collars cut at two depths, taken to have been in the chuck of the lathe itself"
	if u > oversize/2 {
		r.Warn(t, "uncertainty", "cut the collars further out, or on a thinner bar: the difference grows with the "+
			"third power of the distance", "it is more than half of what was measured: the collars hardly tell the "+
			"force")
	}
}
