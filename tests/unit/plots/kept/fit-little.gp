# fit-little: a store alone that was not used, two points, no curve, no loss, doubtful; looked at 2026-11-28
load 'head.gp'
set label 'Doubtful: Collector: 71 % at zero loss' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'wash-stand-glazed, 4 May 2026, 33.90° S, 70.40° W' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0600
set rmargin at screen 0.5000
set bmargin at screen 0.3700
set tmargin at screen 0.7600
set grid xtics ytics back ls 100
set label 'Efficiency on gross area, 95 % band (dashed: extrapolated)' at screen 0.0180,0.8600 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0.65:0.75]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0.65,0.05,0.75000005
set xrange [-0.00478:0.00158]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -0.006,0.002,0.002000002
set label '(temperature − air) / irradiance, m² K/W' at screen 0.2800,0.3075 center front tc rgb '#4D4D4D' font 'Sans,12'
set x2range [-4.302:1.422]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' -4,1,1.000001
set border 5
set label 'K warmer than the air, in 900 W/m² of sun' at screen 0.2800,0.8160 center front tc rgb '#4D4D4D' font 'Sans,12'
set label 'Numbers' at screen 0.0180,0.2420 left front tc rgb '#000000' font 'Sans,13.5'
set label '95 % interval' at screen 0.3650,0.2420 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'zero-loss efficiency η₀' at screen 0.0180,0.2040 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '0.712' at screen 0.3500,0.2040 right front tc rgb '#000000' font 'Sans,13.5'
set label '0.668 to 0.756' at screen 0.3650,0.2040 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'loss a₁, W/(m² K)' at screen 0.0180,0.1700 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'not determined' at screen 0.3000,0.1700 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'efficiency of the run' at screen 0.0180,0.1360 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '0.612' at screen 0.3500,0.1360 right front tc rgb '#000000' font 'Sans,13.5'
set label '0.577 to 0.648' at screen 0.3650,0.1360 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'stagnation above air, K' at screen 0.0180,0.1020 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'not determined' at screen 0.3000,0.1020 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'per gross area; collector at its inlet temperature' at screen 0.0180,0.0680 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'the loss includes the container’s' at screen 0.0180,0.0340 left front tc rgb '#4D4D4D' font 'Sans,12'
$curve << EOD
NaN NaN NaN NaN NaN NaN
EOD
$loose << EOD
-0.0046 0.75 0
0.0014 0.7 0.024
NaN NaN NaN
EOD
$steady << EOD
NaN NaN NaN
EOD
set label '○ means of some minutes, none steady' at screen 0.0700,0.3940 left front tc rgb '#4D4D4D' font 'Sans,12'
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
1 NaN
31 NaN
61 NaN

NaN NaN
EOD
$driving0 << EOD
1 NaN
31 NaN
61 NaN

NaN NaN
EOD
$modelled0 << EOD
1 NaN
31 NaN
61 NaN

NaN NaN
EOD
$measured1 << EOD
1 NaN
31 NaN
61 NaN

NaN NaN
EOD
$driving1 << EOD
1 NaN
31 NaN
61 NaN

NaN NaN
EOD
$modelled1 << EOD
1 NaN
31 NaN
61 NaN

NaN NaN
EOD
$measured2 << EOD
1 NaN
31 NaN
61 NaN

NaN NaN
EOD
$driving2 << EOD
1 NaN
31 NaN
61 NaN

NaN NaN
EOD
$modelled2 << EOD
1 NaN
31 NaN
61 NaN

NaN NaN
EOD
$air << EOD
1 19.41
31 19.89
61 20.52

NaN NaN
EOD
set yrange [19.25:20.75]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 19.25,0.25,20.7500002
set xrange [0:76]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 20, '' 40, '' 60)
set x2range [0:76]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('10:45' 2.45, '11:00' 17.45, '11:15' 32.45, '11:30' 47.45, '11:45' 62.45)
set border 5
set label 'UTC' at screen 0.9430,0.8270 left front tc rgb '#4D4D4D' font 'Sans,12'
set label 'air' at graph 1, first 20.52 left offset 0.6,0 front tc rgb '#007A5A' font 'Sans,12'
plot NaN, $air using 1:2 with lines lw 2 dt (10,5) lc rgb '#009E73', $modelled0 using 1:2 with lines lw 2.5 dt solid lc rgb '#0072B2', $driving0 using 1:2 with lines lw 1.5 dt solid lc rgb '#0072B2', $measured0 using 1:2 with points lw 1.2 pt 6 ps 0.7 lc rgb '#4D4D4D'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.3650
set tmargin at screen 0.4650
set grid xtics ytics back ls 100
set label 'Irradiance, W/m²' at screen 0.5550,0.4890 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:100]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,50,100.00005
set xrange [0:76]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 20, '' 40, '' 60)
$sun << EOD
1 86.16
31 89.835
61 92.041

NaN NaN
EOD
plot NaN, $sun using 1:2 with filledcurves y1=0 fs transparent solid 0.15 lc rgb '#E69F00', $sun using 1:2 with lines lw 2 lc rgb '#E69F00'
unset label
load 'panel.gp'
set lmargin at screen 0.5900
set rmargin at screen 0.9150
set bmargin at screen 0.0850
set tmargin at screen 0.2850
set grid xtics ytics back ls 100
set yrange [-1:1]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' -1,1,1.000001
set xrange [0:76]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '20' 20, '40' 40, '60' 60)
set label 'minutes from the start' at screen 0.7525,0.0225 center front tc rgb '#4D4D4D' font 'Sans,12'
set arrow from graph 0, first 0 to graph 1, first 0 nohead lw 1 lc rgb '#4D4D4D'
set label 'store' at graph 1, first 0 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
set label 'Measured − modelled, K' at screen 0.5550,0.3110 left front tc rgb '#000000' font 'Sans,13.5'
$residual << EOD
1 NaN
31 NaN
61 NaN

NaN NaN
EOD
plot NaN, $residual using 1:2 with points pt 7 ps 0.45 lc rgb '#0072B2'
unset multiplot
unset output
