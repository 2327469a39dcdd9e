package liquid

// A size of the built-in table: the section width and the overall diameter in
// millimeters, zero where the designation rule gives them, and the width of
// the design rim in inches.
type size struct {
	system      SizeSystem
	width       uint16 // as in Designation
	aspect      uint8
	low         bool
	rim         uint16 // tenths of an inch
	section, od uint16 // mm
	rimWidth    float64
}

// sizes holds design dimensions written from memory of ISO 4251-1 and ETRTO
// for numeric sizes; some overall diameters are computed from the section
// height of the same width code. For metric sizes it holds the design rim
// alone, also from memory.
var sizes = [...]size{
	{Numeric, 830, 0, false, 240, 211, 995, 7},
	{Numeric, 950, 0, false, 240, 241, 1050, 8},
	{Numeric, 1120, 0, false, 240, 284, 1105, 10},
	{Numeric, 1120, 0, false, 280, 284, 1205, 10},
	{Numeric, 1240, 0, false, 240, 315, 1160, 11},
	{Numeric, 1240, 0, false, 280, 315, 1260, 11},
	{Numeric, 1240, 0, false, 360, 315, 1465, 11},
	{Numeric, 1240, 0, false, 380, 315, 1515, 11},
	{Numeric, 1360, 0, false, 240, 345, 1210, 12},
	{Numeric, 1360, 0, false, 280, 345, 1310, 12},
	{Numeric, 1360, 0, false, 380, 345, 1565, 12},
	{Numeric, 1490, 0, false, 240, 378, 1265, 13},
	{Numeric, 1490, 0, false, 260, 378, 1315, 13},
	{Numeric, 1490, 0, false, 280, 378, 1365, 13},
	{Numeric, 1490, 0, false, 300, 378, 1415, 13},
	{Numeric, 1490, 0, false, 380, 378, 1620, 13},
	{Numeric, 1690, 0, false, 240, 429, 1335, 15},
	{Numeric, 1690, 0, false, 260, 429, 1383, 15},
	{Numeric, 1690, 0, false, 280, 429, 1435, 15},
	{Numeric, 1690, 0, false, 300, 429, 1485, 15},
	{Numeric, 1690, 0, false, 340, 429, 1585, 15},
	{Numeric, 1690, 0, false, 380, 429, 1685, 15},
	{Numeric, 1840, 0, false, 260, 467, 1450, 16},
	{Numeric, 1840, 0, false, 300, 467, 1550, 16},
	{Numeric, 1840, 0, false, 340, 467, 1650, 16},
	{Numeric, 1840, 0, false, 380, 467, 1750, 16},
	{Numeric, 2080, 0, false, 340, 528, 1734, 18},
	{Numeric, 2080, 0, false, 380, 528, 1835, 18},
	{Numeric, 2310, 0, false, 260, 587, 1605, 20},
	{Numeric, 2310, 0, false, 300, 587, 1700, 20},
	{Numeric, 2310, 0, false, 340, 587, 1804, 20},
	{Numeric, 1550, 0, false, 380, 394, 1570, 14},
	{Numeric, 2450, 0, false, 320, 622, 1805, 21},
	{Numeric, 2800, 0, true, 260, 714, 1615, 25},
	{Numeric, 3050, 0, true, 320, 775, 1820, 27},
	{Numeric, 600, 0, false, 160, 165, 735, 4.5},
	{Numeric, 650, 0, false, 160, 173, 760, 4.5},
	{Numeric, 750, 0, false, 160, 205, 805, 5.5},
	{Numeric, 750, 0, false, 180, 205, 860, 5.5},
	{Numeric, 750, 0, false, 200, 205, 910, 5.5},
	{Numeric, 1000, 0, false, 160, 274, 895, 8},
	{Numeric, 1100, 0, false, 160, 315, 965, 10},
	{Numeric, 500, 0, false, 150, 140, 655, 3},
	{Metric, 280, 85, false, 240, 0, 0, 10},
	{Metric, 280, 85, false, 280, 0, 0, 10},
	{Metric, 320, 85, false, 240, 0, 0, 11},
	{Metric, 320, 85, false, 280, 0, 0, 11},
	{Metric, 340, 85, false, 240, 0, 0, 12},
	{Metric, 340, 85, false, 280, 0, 0, 12},
	{Metric, 340, 85, false, 380, 0, 0, 12},
	{Metric, 380, 85, false, 240, 0, 0, 13},
	{Metric, 380, 85, false, 280, 0, 0, 13},
	{Metric, 380, 85, false, 300, 0, 0, 13},
	{Metric, 420, 85, false, 240, 0, 0, 15},
	{Metric, 420, 85, false, 280, 0, 0, 15},
	{Metric, 420, 85, false, 300, 0, 0, 15},
	{Metric, 420, 85, false, 340, 0, 0, 15},
	{Metric, 420, 85, false, 380, 0, 0, 15},
	{Metric, 460, 85, false, 300, 0, 0, 16},
	{Metric, 460, 85, false, 340, 0, 0, 16},
	{Metric, 460, 85, false, 380, 0, 0, 16},
	{Metric, 520, 85, false, 380, 0, 0, 18},
	{Metric, 520, 85, false, 420, 0, 0, 18},
	{Metric, 360, 70, false, 240, 0, 0, 11},
	{Metric, 380, 70, false, 240, 0, 0, 12},
	{Metric, 420, 70, false, 240, 0, 0, 13},
	{Metric, 420, 70, false, 280, 0, 0, 13},
	{Metric, 480, 70, false, 240, 0, 0, 15},
	{Metric, 480, 70, false, 280, 0, 0, 15},
	{Metric, 480, 70, false, 300, 0, 0, 15},
	{Metric, 480, 70, false, 340, 0, 0, 15},
	{Metric, 480, 70, false, 380, 0, 0, 15},
	{Metric, 520, 70, false, 340, 0, 0, 16},
	{Metric, 520, 70, false, 380, 0, 0, 16},
	{Metric, 580, 70, false, 380, 0, 0, 18},
	{Metric, 540, 65, false, 240, 0, 0, 16},
	{Metric, 540, 65, false, 280, 0, 0, 16},
	{Metric, 540, 65, false, 380, 0, 0, 16},
	{Metric, 600, 65, false, 380, 0, 0, 18},
	{Metric, 650, 65, false, 380, 0, 0, 20},
	{Metric, 710, 70, false, 380, 0, 0, 23},
	{Metric, 710, 70, false, 420, 0, 0, 23},
}
