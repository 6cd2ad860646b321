package bend

// Material is what is turned.
type Material struct {
	Name    string  // as files and flags have it
	What    string  // in words
	Group   string  // of VDI 3323
	KC1     float64 // specific cutting force for a chip 1 mm thick and 1 mm wide, N/mm²
	MC      float64 // by which power the specific force falls as the chip grows thicker
	Modulus float64 // of elasticity, N/mm²
}

// Moduli of elasticity, N/mm². From memory, as handbooks round them; a batch may be a few per cent off.
const (
	eSteel     = 206000
	eStainless = 196000
	eAluminium = 70000
	eBrass     = 100000
	eCopper    = 120000
	eTitanium  = 105000
	eTiAlloy   = 114000
)

// Materials returns the materials for which a cutting force can be estimated, steels first.
//
// KC1 and MC are those of the groups of VDI 3323 as a toolmaker's turning catalogue of 2017 prints them (page 558), for
// a rake of 0°. Cast iron is missing, since its rows could not be read. The names are this project's; the hardnesses
// of groups 7 to 9, and what tells groups 12 from 13 and 26 from 27 and 28, are from memory. So is every modulus.
func Materials() []Material {
	return []Material{
		{"steel-low-carbon", "steel under 0.25 % carbon, annealed, 125 HB", "1", 1350, 0.21, eSteel},
		{"steel-medium-carbon", "steel from 0.25 % carbon on, annealed, 190 HB", "2", 1500, 0.22, eSteel},
		{"steel-medium-carbon-tempered", "steel under 0.55 % carbon, quenched and tempered", "3", 1675, 0.24, eSteel},
		{"steel-high-carbon", "steel from 0.55 % carbon on, annealed", "4", 1700, 0.24, eSteel},
		{"steel-high-carbon-tempered", "steel from 0.55 % carbon on, quenched and tempered", "5", 1900, 0.24, eSteel},
		{"steel-low-alloy", "low-alloy steel, annealed", "6", 1775, 0.24, eSteel},
		{"steel-low-alloy-275", "low-alloy steel, quenched and tempered to some 275 HB", "7", 1675, 0.24, eSteel},
		{"steel-low-alloy-300", "low-alloy steel, quenched and tempered to some 300 HB", "8", 1725, 0.24, eSteel},
		{"steel-low-alloy-350", "low-alloy steel, quenched and tempered to some 350 HB", "9", 1800, 0.24, eSteel},
		{"steel-high-alloy", "high-alloy steel, annealed", "10", 2450, 0.23, eSteel},
		{"steel-high-alloy-tempered", "high-alloy steel, quenched and tempered", "11", 2500, 0.23, eSteel},
		{"stainless-ferritic", "stainless steel, ferritic, or martensitic and annealed", "12", 1875, 0.21, eStainless},
		{"stainless-martensitic", "stainless steel, martensitic, quenched and tempered", "13", 1875, 0.21, eStainless},
		{"stainless-austenitic", "stainless steel, austenitic", "14", 2150, 0.20, eStainless},
		{"aluminium-wrought", "wrought aluminium alloy, not aged", "21", 700, 0.25, eAluminium},
		{"aluminium-aged", "wrought aluminium alloy, aged", "22", 800, 0.25, eAluminium},
		{"aluminium-cast", "cast aluminium alloy of up to 12 % silicon", "23, 24", 700, 0.25, eAluminium},
		{"aluminium-high-silicon", "cast aluminium alloy over 12 % silicon", "25", 750, 0.25, eAluminium},
		{"brass-free-cutting", "free-cutting copper alloy, with lead", "26", 700, 0.27, eBrass},
		{"brass", "brass", "27", 700, 0.27, eBrass},
		{"copper", "copper", "28", 700, 0.27, eCopper},
		{"titanium", "titanium, unalloyed", "36", 1700, 0.23, eTitanium},
		{"titanium-alloy", "titanium alloy", "37", 2110, 0.22, eTiAlloy},
	}
}

// FindMaterial returns the material of that name.
func FindMaterial(name string) (Material, bool) {
	for _, m := range Materials() {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}
