#!/usr/bin/python3
"""Conversion factors from GNU units, for package units.

Run in this folder: /usr/bin/python3 gnu.py > ../../../testdata/gnu_units.csv
Tests read the file it writes and never run it.

Each row is a unit of the library, the expression that GNU units knows it by,
the SI expression, and what `units -d max` prints for one of the unit. For
temperatures it is a few points of the affine scale instead.
"""
import subprocess
import sys

LIST = """
Length|m|m|m
Length|mm|mm|m
Length|cm|cm|m
Length|km|km|m
Length|in|inch|m
Length|ft|foot|m
Length|yd|yard|m
Length|mi|mile|m
Area|m2|m^2|m^2
Area|mm2|mm^2|m^2
Area|cm2|cm^2|m^2
Area|in2|in^2|m^2
Area|ft2|ft^2|m^2
Volume|m3|m^3|m^3
Volume|L|liter|m^3
Volume|mL|milliliter|m^3
Volume|cm3|cm^3|m^3
Volume|US gal|usgallon|m^3
Volume|imp gal|brgallon|m^3
Volume|US qt|usquart|m^3
Volume|US pt|uspint|m^3
Volume|US fl oz|usfloz|m^3
Volume|imp qt|brquart|m^3
Volume|imp pt|brpint|m^3
Volume|in3|in^3|m^3
Volume|ft3|ft^3|m^3
Volume|yd3|yd^3|m^3
SecondMomentOfArea|m4|m^4|m^4
SecondMomentOfArea|in4|in^4|m^4
Mass|kg|kg|kg
Mass|lb|pound|kg
Mass|t|tonne|kg
Mass|g|gram|kg
Mass|oz|ounce|kg
Mass|short ton|shortton|kg
Mass|long ton|longton|kg
Inertia|kg m2|kg m^2|kg m^2
Inertia|lb ft2|lb ft^2|kg m^2
Density|kg/m3|kg/m^3|kg/m^3
Density|kg/L|kg/liter|kg/m^3
Density|g/cm3|g/cm^3|kg/m^3
Density|lb/ft3|lb/ft^3|kg/m^3
Density|lb/US gal|lb/usgallon|kg/m^3
Density|lb/imp gal|lb/brgallon|kg/m^3
Force|N|N|N
Force|kN|kN|N
Force|daN|daN|N
Force|lbf|lbf|N
Force|kgf|kgf|N
Moment|N m|N m|N m
Moment|kN m|kN m|N m
Moment|lbf ft|lbf ft|N m
Moment|lbf in|lbf in|N m
Moment|kgf m|kgf m|N m
Stiffness|N/m|N/m|N/m
Stiffness|kN/m|kN/m|N/m
Stiffness|N/mm|N/mm|N/m
Stiffness|lbf/in|lbf/in|N/m
Pressure|Pa|Pa|Pa
Pressure|kPa|kPa|Pa
Pressure|MPa|MPa|Pa
Pressure|bar|bar|Pa
Pressure|psi|psi|Pa
GaugePressure|Pa gauge|Pa|Pa
GaugePressure|kPa gauge|kPa|Pa
GaugePressure|MPa gauge|MPa|Pa
GaugePressure|bar gauge|bar|Pa
GaugePressure|psi gauge|psi|Pa
AbsolutePressure|Pa absolute|Pa|Pa
AbsolutePressure|hPa absolute|hPa|Pa
AbsolutePressure|kPa absolute|kPa|Pa
AbsolutePressure|bar absolute|bar|Pa
AbsolutePressure|psi absolute|psi|Pa
AbsolutePressure|atm|atm|Pa
Angle|rad|radian|radian
Angle|deg|degree|radian
Angle|arcmin|arcmin|radian
Angle|arcsec|arcsec|radian
Angle|turn|turn|radian
TemperatureDifference|K|K|K
TemperatureDifference|degC|degC|K
TemperatureDifference|degF|degF|K
Duration|s|s|s
Duration|min|min|s
Duration|h|hour|s
Speed|m/s|m/s|m/s
Speed|km/h|km/hour|m/s
Speed|mph|mile/hour|m/s
Speed|ft/s|ft/s|m/s
Acceleration|m/s2|m/s^2|m/s^2
Acceleration|ft/s2|ft/s^2|m/s^2
Acceleration|g0|gravity|m/s^2
Power|W|W|W
Power|kW|kW|W
Power|mechanical hp|horsepower|W
Power|metric hp|metrichorsepower|W
Energy|J|J|J
Energy|kJ|kJ|J
Energy|ft lbf|ft lbf|J
MassPerPower|kg/W|kg/W|kg/W
MassPerPower|kg/kW|kg/kW|kg/W
MassPerPower|lb/mechanical hp|lb/horsepower|kg/W
MassPerPower|kg/metric hp|kg/metrichorsepower|kg/W
Fraction||1|1
Fraction|%|percent|1
MassFraction|kg/kg|kg/kg|1
MassFraction|% by mass|percent|1
MassPerWater|kg/m3 of water|kg/m^3|kg/m^3
MassPerWater|kg/L of water|kg/liter|kg/m^3
MassPerWater|lb/US gal of water|lb/usgallon|kg/m^3
MassPerWater|lb/imp gal of water|lb/brgallon|kg/m^3
MassPerSolution|kg/m3 of solution|kg/m^3|kg/m^3
MassPerSolution|kg/L of solution|kg/liter|kg/m^3
MassPerSolution|lb/US gal of solution|lb/usgallon|kg/m^3
MassPerSolution|lb/imp gal of solution|lb/brgallon|kg/m^3
"""
POINTS = [("degC", "tempC"), ("degF", "tempF")]
VALUES = [-40, -5, 0, 20, 23, 37.7, 100]


def run(*args):
    return subprocess.run(["units", *args], check=True, capture_output=True, text=True).stdout.strip()


out = sys.stdout
version = run("--version").splitlines()[0]
out.write(f"# {version}, made by internal/crosscheck/units/gnu.py with units -t -d max.\n")
out.write("# One of the unit in SI; for Temperature the number n on the scale in kelvins.\n")
out.write("kind,symbol,n,gnu,si,value\n")
for line in LIST.strip().splitlines():
    kind, symbol, gnu, si = line.split("|")
    out.write(f"{kind},{symbol},1,{gnu},{si},{run('-t', '-d', 'max', gnu, si)}\n")
for symbol, f in POINTS:
    for n in VALUES:
        out.write(f"Temperature,{symbol},{n},{f},K,{run('-t', '-d', 'max', f'{f}({n})', 'tempK')}\n")
