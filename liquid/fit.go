package liquid

import (
	"math"
)

// A melinder is one fluid of Melinder, Properties of secondary working
// fluids for indirect systems (International Institute of Refrigeration,
// 2010):
//
//	density(T, x) = sum over i, j of density[i][j] (T-T0)^i (x-X0)^j
//	freezing(x)   = sum over j of freezing[j] (x-X0)^j
//
// with T in kelvins and x the mass fraction. The coefficients are those that a
// public library of fluid properties carries. Held by TestFitsAtRandom.
type melinder struct {
	t0, x0   float64
	xmax     float64 // end of the fit
	tmax     float64 // end of the fit, K
	density  [4][6]float64
	freezing [6]float64
}

func (m *melinder) densityAt(t, x float64) float64 {
	dt, dx := t-m.t0, x-m.x0
	sum := 0.0
	for i := len(m.density) - 1; i >= 0; i-- {
		row := 0.0
		for j := len(m.density[i]) - 1; j >= 0; j-- {
			row = row*dx + m.density[i][j]
		}
		sum = sum*dt + row
	}
	return sum
}

func (m *melinder) freezingAt(x float64) float64 {
	dx := x - m.x0
	sum := 0.0
	for j := len(m.freezing) - 1; j >= 0; j-- {
		sum = sum*dx + m.freezing[j]
	}
	return sum
}

var melinderCalciumChloride = melinder{
	t0: 280.6757, x0: 0.187414, xmax: 0.3, tmax: 313.15,
	density:  [4][6]float64{{1171, 984.7, 338.9, 1062, 2785, -18110}, {-0.1463, -2.488, -23.02, 62.91, 642.3}, {-0.001302, -0.0553, 0.3526, 1.806}, {-0.0001871, 0.001665, 0.002788}},
	freezing: [6]float64{256.94, -155.5, -549.6, -2624, -17260, -44940},
}

var melinderMagnesiumChloride = melinder{
	t0: 282.4663, x0: 0.141327, xmax: 0.3, tmax: 313.15,
	density:  [4][6]float64{{1124, 907.1, 244.9, 3402, 33440, 72390}, {-0.3072, -0.6513, 0.3574, -140.9, -683}, {-0.003295, 0.004664, 0.04337, 1.857}, {1.015e-05, 0.0002287, 0.006044}},
	freezing: [6]float64{258.03, -188.5, -545.5, -725.7, -32080, -179400},
}

var melinderSodiumChloride = melinder{
	t0: 285.7679, x0: 0.133897, xmax: 0.23, tmax: 313.15,
	density:  [4][6]float64{{1099, 772.3, 256.7, 110.8, -1686}, {-0.3758, -1.426, 3.994, 0.3522}, {-0.002023, 0.01535, -0.07281}},
	freezing: [6]float64{263.767, -90.39, -220.4, -482.7, 224.7},
}

var melinderEthyleneGlycol = melinder{
	t0: 304.878, x0: 0.308462, xmax: 0.6, tmax: 373.15,
	density:  [4][6]float64{{1034, 131.1, 0.749, -106.2, -96.23, 489.1}, {-0.4781, -0.6876, 0.7855, 1.229, -7.211}, {-0.002692, 0.004805, -0.003995, -0.01153}, {4.725e-06, 1.69e-06, 4.982e-05}},
	freezing: [6]float64{257.9, -80.8, -133.4, -72.93, 100.6, 11.4},
}

var melinderPropyleneGlycol = melinder{
	t0: 305.8583, x0: 0.307031, xmax: 0.6, tmax: 373.15,
	density:  [4][6]float64{{1018, 76.04, -24.98, -155, -113.1, 234.2}, {-0.5406, -0.945, 0.27, 2.829, -2.221}, {-0.002666, 0.005541, -0.004018, -0.007175}, {1.347e-05, -1.343e-05, 3.376e-05}},
	freezing: [6]float64{259.9, -66.31, -109.4, -228.3, -340.9, 146.5},
}

var melinderMethanol = melinder{
	t0: 276.6859, x0: 0.305128, xmax: 0.6, tmax: 313.15,
	density:  [4][6]float64{{958.1, -139.1, -110.5, -120.8, 492.7, -772.7}, {-0.4151, -1.51, 1.828, 2.992, -13.25}, {-0.002261, 0.01113, -0.01641, 0.001455}, {2.998e-07, -3.264e-05, 0.000151}},
	freezing: [6]float64{246.86, -118.7, -121.8, -68.23, 12.97, 236.3},
}

var melinderPotassiumAcetate = melinder{
	t0: 279.9257, x0: 0.256757, xmax: 0.45, tmax: 313.15,
	density:  [4][6]float64{{1138, 579.6, 130.6, -1427, 935.3, 22850}, {-0.3565, -0.79, 0.6845, 0.8304, 2.322}, {-0.00202, 0.002753, -0.0113, 0.01303}, {4.205e-06, 5.14e-06, 0.0002433}},
	freezing: [6]float64{256.11, -122.8, -386.2, -457.1, 2969, 8690},
}

var melinderPotassiumFormate = melinder{
	t0: 279.0408, x0: 0.291447, xmax: 0.48, tmax: 313.15,
	density:  [4][6]float64{{1189, 704.4, 188.9, -226.2, 2368, 10610}, {-0.3515, -0.656, 1.034, 0.3692, 8.766}, {-0.001918, 0.007018, -0.03889, 0.06609}, {3.132e-05, -0.0001459, 9.225e-05}},
	freezing: [6]float64{252.96, -110.6, -210, -263.8, 83.27, 634.5},
}

// A laliberte holds the coefficients of one salt in M. Laliberte, J. Chem.
// Eng. Data 54 (2009) 1725:
//
//	1/density = (1-x)/density of water + x/density of the salt
//	density of the salt = (c0 x + c1) exp(1e-6 (t+c4)^2)/(x + c2 + c3 t)
//
// with t in degrees Celsius and x the mass fraction. Held by TestFitsAtRandom.
type laliberte [5]float64

func (c *laliberte) densityAt(t, x float64) float64 {
	a := t + c[4]
	salt := (c[0]*x + c[1]) * math.Exp(1e-6*a*a) / (x + c[2] + c[3]*t)
	return 1 / ((1-x)/waterDensity(t) + x/salt)
}

// waterDensity returns the density of water in kg/m3 at t degrees Celsius
// (G. S. Kell, J. Chem. Eng. Data 20 (1975) 97, as used by Laliberte), for
// -30 C, supercooled, to 150 C.
func waterDensity(t float64) float64 {
	return (((((-2.8054253e-10*t+1.0556302e-7)*t-4.6170461e-5)*t-0.0079870401)*t+16.945176)*t + 999.83952) / (1 + 0.01687985*t)
}

var laliberteCalciumChloride = laliberte{-9.72893747074295, 14.7005352975276, 4.19033341468332, 0.0397403624277021, 2708.12778894614}

var laliberteMagnesiumChloride = laliberte{-0.0215001423271867, 0.0441202083909434, 1.53227586827304, -0.0098078506056196, -3478.36496883693}
