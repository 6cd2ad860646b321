package study

// plan is what a turner reads before he trusts the bed.
type plan struct {
	name string
	lean bool // a bar or a cut in the spindle sees its lean
	far  bool // the stretch surveyed reaches to mid-bed
	read func(b *bench, l leave)
}

const (
	thou   = 0.0254
	coarse = 0.3 * thou // a dial indicator carried by hand
	fine   = 0.1 * thou // a test indicator
)

func indicators(b *bench) {
	b.carriageIndicator(0, coarse)
	b.carriageIndicator(1, coarse)
}

// plans are what is tried. "all" comes last.
var plans = []plan{
	{"indicators", false, true, func(b *bench, _ leave) { indicators(b) }},
	{"indicators, level", false, true, func(b *bench, _ leave) { indicators(b); b.saddleLevel(0.2, 50) }},
	{"bar", true, false, func(b *bench, _ leave) { b.barSide(fine, 254, 12.7, true) }},
	{"bar, level", true, false, func(b *bench, _ leave) { b.barSide(fine, 254, 12.7, false); b.saddleLevel(0.2, 50) }},
	{"collars, level", true, false, func(b *bench, _ leave) {
		b.testCut(0.002, 5,
			b.perhaps(b.pushes))
		b.saddleLevel(0.2, 50)
	}},
	{"tailstock, along, edge", false, true, func(b *bench, l leave) {
		b.tailstockIndicator(coarse)
		b.levelAlong("rear", 0.2)
		b.levelAlong("front", 0.2)
		for _, on := range append(b.fronts(), "rear") {
			b.straightedge(on, l)
		}
	}},
	{"across, micrometer", false, true, func(b *bench, _ leave) { b.levelAcross(0.2); b.wayMicrometer(0.003) }},
	{"all", true, true, func(b *bench, l leave) {
		indicators(b)
		b.saddleLevel(0.2, 50)
		b.barSide(fine, 254, 12.7, true)
		b.barTop(fine, 254)
		b.testCut(0.002, 5, b.perhaps(b.pushes))
		b.tailstockIndicator(coarse)
		b.levelAlong("rear", 0.2)
		b.levelAcross(0.2)
		b.wayMicrometer(0.003)
		b.carriageLock()
		for _, on := range append(b.fronts(), "rear") {
			b.straightedge(on, l)
		}
		b.lightGap("rear")
	}},
}

// every says how many beds in turn are passed over: the plans with hundreds of readings take the longest.
func (p plan) every() int {
	switch p.name {
	case "all":
		return 6
	case "tailstock, along, edge":
		return 2
	}
	return 1
}
