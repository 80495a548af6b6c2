"""What our units are, as pint writes them: of its thousand the few that a quantity is typed or checked in.

Exact by definition: NIST SP 811 appendix B and NIST Handbook 44 appendix C; `tests/units` holds them against those, and
each against pint's own. To read all of pint's takes a program half a second.
"""

DEFINITIONS = """
kilo- = 1e3
deci- = 1e-1
centi- = 1e-2
milli- = 1e-3
micro- = 1e-6

meter = [length]
second = [time]
gram = [mass]
kelvin = [temperature]; offset: 0
radian = []

pi = 3.1415926535897932384626433832795028841971693993751
degree = pi / 180 * radian
percent = 0.01
minute = 60 * second
hour = 60 * minute
degree_Celsius = kelvin; offset: 273.15 = _ = degC
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = _ = degF

yard = 0.9144 * meter
foot = yard / 3
inch = yard / 36
liter = decimeter ** 3
gallon = 231 * inch ** 3
quart = gallon / 4
pint = quart / 2
cup = pint / 2
fluid_ounce = pint / 16
teaspoon = fluid_ounce / 6
imperial_gallon = 4.54609 * liter

metric_ton = 1e3 * kilogram
grain = 64.79891 * milligram
pennyweight = 24 * grain
troy_ounce = 480 * grain
pound = 7e3 * grain
ounce = pound / 16
short_ton = 2e3 * pound
"""
