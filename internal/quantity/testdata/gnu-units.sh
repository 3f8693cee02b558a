#!/bin/sh
# Makes gnu-units.txt: what GNU units says about every unit this package reads.
#
#     sh testdata/gnu-units.sh > testdata/gnu-units.txt
#
# Each line below holds the dimension, the text as this package reads it, the
# same in the language of GNU units, and the base unit of the dimension there.
set -e
export LC_ALL=C.UTF-8
echo "# Made by testdata/gnu-units.sh with $(units --version | head -n 1); do not edit."
echo "# dimension | text | magnitude in the base unit | in GNU units"
while IFS='|' read -r dimension text have want; do
	printf '%s|%s|%s|%s -> %s\n' "$dimension" "$text" "$(units -t -o %.12g "$have" "$want")" "$have" "$want"
done <<'LINES'
ratio|1|1|1
ratio|1 %|percent|1
length|1 in|inch|m
length|1 ft|foot|m
length|1 yd|yard|m
length|1 mm|mm|m
length|1 cm|cm|m
length|1 m|m|m
length|39.4 in|39.4 inch|m
length|12 ft 6 in|12 foot + 6 inch|m
length|12'-6 1/2"|12 foot + 6.5 inch|m
length|5/16 in|(5/16) inch|m
length|1-1/2 in|1.5 inch|m
area|1 in2|inch^2|m^2
area|1 ft2|foot^2|m^2
area|1000 cmil|1000 circularmil|m^2
area|1 mm2|mm^2|m^2
area|1 cm2|cm^2|m^2
area|1 m2|m^2|m^2
angle|1 deg|degree|degree
angle|1 rad|radian|degree
angle|4:12|atan(4/12) radian|degree
angle|1/4:12|atan(0.25/12) radian|degree
temperature|-14 degF|tempF(-14)|tempC
temperature|100 degF|tempF(100)|tempC
temperature|-40 degC|tempC(-40)|tempC
temperature|250 K|250 K|tempC
temperature difference|1 degF|degF|K
temperature difference|1 degC|degC|K
temperature difference|1 K|K|K
voltage|1 V|V|V
voltage|1 mV|mV|V
voltage|1 kV|kV|V
current|1 A|A|A
current|1 mA|mA|A
current|1 kA|kA|A
power|1 W|W|W
power|1 kW|kW|W
power|1 MW|MW|W
power|1 VA|V A|W
power|1 kVA|kV A|W
pressure|1 psf|lbf/foot^2|Pa
pressure|1 psi|lbf/inch^2|Pa
pressure|1 ksi|1000 lbf/inch^2|Pa
pressure|1 Pa|Pa|Pa
pressure|1 kPa|kPa|Pa
pressure|1 MPa|MPa|Pa
pressure|1 kg/m2|kg gravity/m^2|Pa
force|1 lb|lbf|N
force|1 kip|1000 lbf|N
force|1 N|N|N
force|1 kN|kN|N
force|1 kgf|kgf|N
mass|1 lb|lb|kg
mass|1 oz|oz|kg
mass|1 g|g|kg
mass|1 kg|kg|kg
speed|1 mph|mile/hour|m/s
speed|1 ft/s|foot/s|m/s
speed|1 m/s|m/s|m/s
speed|1 km/h|km/hour|m/s
speed|1 kn|knot|m/s
time|1 ms|ms|s
time|1 s|s|s
time|1 min|minute|s
time|1 h|hour|s
torque|1 in-lb|inch lbf|N m
torque|1 ft-lb|foot lbf|N m
torque|1 in-kip|inch kilolbf|N m
torque|1 ft-kip|foot kilolbf|N m
torque|1 N m|N m|N m
torque|1 kN m|kN m|N m
resistance|1 ohm|ohm|ohm
resistance|1 mohm|milliohm|ohm
resistance|1 kohm|kiloohm|ohm
force per length|1 lb/in|lbf/inch|N/m
force per length|1 lb/ft|lbf/foot|N/m
force per length|1 N/m|N/m|N/m
force per length|1 N/mm|N/mm|N/m
force per length|1 kN/m|kN/m|N/m
resistance per length|1 ohm/kft|ohm/(1000 foot)|ohm/m
resistance per length|1 ohm/ft|ohm/foot|ohm/m
resistance per length|1 ohm/km|ohm/km|ohm/m
resistance per length|1 ohm/m|ohm/m|ohm/m
voltage per temperature|1 V/degC|V/degC|V/K
voltage per temperature|1 V/K|V/K|V/K
voltage per temperature|1 mV/degC|mV/degC|V/K
voltage per temperature|1 mV/K|mV/K|V/K
voltage per temperature|1 V/degF|V/degF|V/K
voltage per temperature|1 mV/degF|mV/degF|V/K
ratio per temperature|1 %/degC|percent/degC|1/K
ratio per temperature|1 %/K|percent/K|1/K
ratio per temperature|1 %/degF|percent/degF|1/K
ratio per temperature|1 /degC|1/degC|1/K
ratio per temperature|1 /K|1/K|1/K
ratio per temperature|1 /degF|1/degF|1/K
current per temperature|1 A/degC|A/degC|A/K
current per temperature|1 A/K|A/K|A/K
current per temperature|1 mA/degC|mA/degC|A/K
current per temperature|1 mA/K|mA/K|A/K
current per temperature|1 A/degF|A/degF|A/K
current per temperature|1 mA/degF|mA/degF|A/K
LINES
