# fit: one run, three channels fitted, clouds and a pump stop; looked at 2026-11-28
load 'head.gp'
set label 'Glazed wash stand: 71 % at zero loss, 8.1 W/(m² K)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'wash-stand-glazed: Wash stand behind the seedling tunnel, 4 May 2026, 51.87° N, 0.63° E' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0600
set rmargin at screen 0.5000
set bmargin at screen 0.3700
set tmargin at screen 0.7600
set grid xtics ytics back ls 100
set label 'Efficiency on gross area, 95 % band (dashed: extrapolated)' at screen 0.0180,0.8600 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0.2:0.9]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0.2,0.1,0.9000001
set xrange [-0.0118:0.0518]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -0.02,0.02,0.06000002
set label '(temperature − air) / irradiance, m² K/W' at screen 0.2800,0.3075 center front tc rgb '#4D4D4D' font 'Sans,12'
set x2range [-10.62:46.62]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -10,10,40.00001
set border 5
set label 'K warmer than the air, in 900 W/m² of sun' at screen 0.2800,0.8160 center front tc rgb '#4D4D4D' font 'Sans,12'
set label 'Numbers' at screen 0.0180,0.2420 left front tc rgb '#000000' font 'Sans,13.5'
set label '95 % interval' at screen 0.3650,0.2420 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'zero-loss efficiency η₀' at screen 0.0180,0.2040 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '0.712' at screen 0.3500,0.2040 right front tc rgb '#000000' font 'Sans,13.5'
set label '0.668 to 0.756' at screen 0.3650,0.2040 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'loss a₁, W/(m² K)' at screen 0.0180,0.1700 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '8.10' at screen 0.3500,0.1700 right front tc rgb '#000000' font 'Sans,13.5'
set label '6.84 to 9.36' at screen 0.3650,0.1700 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'efficiency of the run' at screen 0.0180,0.1360 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '0.612' at screen 0.3500,0.1360 right front tc rgb '#000000' font 'Sans,13.5'
set label '0.577 to 0.648' at screen 0.3650,0.1360 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'stagnation above air, K' at screen 0.0180,0.1020 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '87.9' at screen 0.3500,0.1020 right front tc rgb '#000000' font 'Sans,13.5'
set label '75.4 to 100.5' at screen 0.3650,0.1020 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'per gross area; collector at its mean temperature' at screen 0.0180,0.0680 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'stagnation may well be higher than this' at screen 0.0180,0.0340 left front tc rgb '#4D4D4D' font 'Sans,12'
$curve << EOD
-0.01 0.79 0.74 0.84 NaN 0.79
0.002 0.7 0.65 0.74 0.7 0.7
0.014 0.6 0.55 0.65 0.6 0.6
0.026 0.5 0.44 0.57 NaN 0.5
0.038 0.4 0.32 0.49 NaN 0.4
0.05 0.31 0.2 0.42 NaN 0.31
NaN NaN NaN NaN NaN NaN
EOD
$loose << EOD
-0.0046 0.75 0.024
0.0014 0.7 0.024
NaN NaN NaN
EOD
$steady << EOD
0.0074 0.66 0.024
0.0134 0.61 0.024
NaN NaN NaN
EOD
set label '● steady, ○ other means of some minutes' at screen 0.0700,0.3940 left front tc rgb '#4D4D4D' font 'Sans,12'
plot NaN, $curve using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb '#0072B2', $curve using 1:6 with lines lw 2 dt (8,5) lc rgb '#0072B2', $curve using 1:5 with lines lw 3 lc rgb '#0072B2', $loose using 1:2:3 with yerrorbars lw 1 pt 6 ps 1 lc rgb '#4D4D4D', $steady using 1:2:3 with yerrorbars lw 1.5 pt 7 ps 1.1 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.5450
set tmargin at screen 0.8000
set grid xtics ytics back ls 100
set label 'Temperature, °C: measured (marks), modelled' at screen 0.5550,0.8600 left front tc rgb '#000000' font 'Sans,13.5'
$measured0 << EOD
1 16.29
16 19.85
31 22.44
46 24.61
61 27.58
76 30

NaN NaN
EOD
$driving0 << EOD
1 NaN
16 NaN
31 NaN
46 NaN
61 NaN
76 NaN

NaN NaN
EOD
$modelled0 << EOD
1 16.24
16 19.78
31 22.46
46 24.67
61 27.59
76 29.96

NaN NaN
EOD
$measured1 << EOD
1 16.27
16 19.76
31 22.39
46 24.71
61 27.63
76 29.93

NaN NaN
EOD
$driving1 << EOD
1 NaN
16 NaN
31 NaN
46 NaN
61 NaN
76 NaN

NaN NaN
EOD
$modelled1 << EOD
1 16.24
16 19.78
31 22.46
46 24.67
61 27.59
76 29.96

NaN NaN
EOD
$measured2 << EOD
1 25.46
16 28.71
31 31.4
46 33.66
61 36.08
76 38.2

NaN NaN
EOD
$driving2 << EOD
1 NaN
16 NaN
31 NaN
46 NaN
61 NaN
76 NaN

NaN NaN
EOD
$modelled2 << EOD
1 25.42
16 28.74
31 31.38
46 33.67
61 36.09
76 38.23

NaN NaN
EOD
$air << EOD
1 19.41
16 19.64
31 20.02
46 20.14
61 20.39
76 20.79

NaN NaN
EOD
set yrange [15:40]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 15,5,40.000005
set xrange [0:83.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 20, '' 40, '' 60, '' 80)
set x2range [0:83.5]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('10:45' 2.45, '11:00' 17.45, '11:15' 32.45, '11:30' 47.45, '11:45' 62.45, '12:00' 77.45)
set border 5
set label 'UTC' at screen 0.9430,0.8270 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'store' at graph 1, first 28.7345098 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
set label 'inlet' at graph 1, first 31.1854902 left offset 0.6,0 front tc rgb '#A2477A' font 'Sans,12'
set label 'outlet' at graph 1, first 38.23 left offset 0.6,0 front tc rgb '#BF5300' font 'Sans,12'
set label 'air' at graph 1, first 20.79 left offset 0.6,0 front tc rgb '#007A5A' font 'Sans,12'
plot NaN, $air using 1:2 with lines lw 2 dt (10,5) lc rgb '#009E73', $modelled0 using 1:2 with lines lw 2.5 dt solid lc rgb '#0072B2', $modelled1 using 1:2 with lines lw 2.5 dt (5,4) lc rgb '#CC79A7', $modelled2 using 1:2 with lines lw 2.5 dt (20,3) lc rgb '#D55E00', $driving0 using 1:2 with lines lw 1.5 dt solid lc rgb '#0072B2', $driving1 using 1:2 with lines lw 1.5 dt (5,4) lc rgb '#CC79A7', $driving2 using 1:2 with lines lw 1.5 dt (20,3) lc rgb '#D55E00', $measured0 using 1:2 with points lw 1.2 pt 6 ps 0.7 lc rgb '#4D4D4D', $measured1 using 1:2 with points lw 1.2 pt 4 ps 0.7 lc rgb '#4D4D4D', $measured2 using 1:2 with points lw 1.2 pt 8 ps 0.7 lc rgb '#4D4D4D'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.3650
set tmargin at screen 0.4650
set grid xtics ytics back ls 100
set label 'Irradiance, W/m²' at screen 0.5550,0.4890 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:1000]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,500,1000.0005
set xrange [0:83.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 20, '' 40, '' 60, '' 80)
$sun << EOD
1 861.6
16 879.45
31 901.54
46 319.19
61 916.41
76 917.55

NaN NaN
EOD
set label 'Flow (thin line), L/min' at screen 0.9880,0.4890 right front tc rgb '#0072B2' font 'Sans,13.5'
set y2range [0:2]
set y2tics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,1,2.000001
$flow << EOD
1 1.06
16 1.06
31 1.04
46 0
61 1.03
76 1.03

NaN NaN
EOD
plot NaN, $sun using 1:2 with filledcurves y1=0 fs transparent solid 0.15 lc rgb '#E69F00', $sun using 1:2 with lines lw 2 lc rgb '#E69F00', $flow using 1:2 axes x1y2 with lines lw 1.2 lc rgb '#0072B2'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.2383
set tmargin at screen 0.2850
set grid xtics ytics back ls 100
set yrange [-0.1:0.1]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -0.1,0.1,0.1000001
set xrange [0:83.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 20, '' 40, '' 60, '' 80)
set object rectangle from graph 0, first -0.072 to graph 1, first 0.072 behind fc rgb '#DDDDDD' fs solid 0.6 noborder
set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '#4D4D4D'
set label 'store' at graph 1, first 0 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
set label 'Measured − modelled, K (band: ±2 s = ±0.072)' at screen 0.5550,0.3110 left front tc rgb '#000000' font 'Sans,13.5'
$residual << EOD
1 0.05
16 0.07
31 -0.01
46 -0.06
61 -0.01
76 0.04

NaN NaN
EOD
plot NaN, $residual using 1:2 with points pt 7 ps 0.45 lc rgb '#0072B2'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.1617
set tmargin at screen 0.2083
set grid xtics ytics back ls 100
set yrange [-0.1:0.1]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -0.1,0.1,0.1000001
set xrange [0:83.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 20, '' 40, '' 60, '' 80)
set object rectangle from graph 0, first -0.072 to graph 1, first 0.072 behind fc rgb '#DDDDDD' fs solid 0.6 noborder
set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '#4D4D4D'
set label 'inlet' at graph 1, first 0 left offset 0.6,0 front tc rgb '#A2477A' font 'Sans,12'
$residual << EOD
1 0.03
16 -0.02
31 -0.07
46 NaN
61 0.04
76 -0.03

NaN NaN
EOD
plot NaN, $residual using 1:2 with points pt 7 ps 0.45 lc rgb '#CC79A7'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.0850
set tmargin at screen 0.1317
set grid xtics ytics back ls 100
set yrange [-0.1:0.1]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -0.1,0.1,0.1000001
set xrange [0:83.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '20' 20, '40' 40, '60' 60, '80' 80)
set label 'minutes from the start' at screen 0.7525,0.0225 center front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from graph 0, first -0.072 to graph 1, first 0.072 behind fc rgb '#DDDDDD' fs solid 0.6 noborder
set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '#4D4D4D'
set label 'outlet' at graph 1, first 0 left offset 0.6,0 front tc rgb '#BF5300' font 'Sans,12'
$residual << EOD
1 0.04
16 -0.03
31 0.02
46 NaN
61 -0
76 -0.03

NaN NaN
EOD
plot NaN, $residual using 1:2 with points pt 7 ps 0.45 lc rgb '#D55E00'
unset multiplot
unset output
