# predict: a clear day, by the sun; looked at 2026-11-28
load 'head.gp'
set label '43 °C at 11:27 (95 %: 11:11 to 11:43)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 40 kg of water, clear sky of 19 June 2026 at 51.87°, 0.63°, air at 22 °C' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
$trace << EOD
0 15 15 15 500
30 20.1 19.74 20.46 659.57
60 25.86 25.1 26.62 798.41
90 31.96 30.78 33.15 898.46
120 38.02 36.41 39.63 946.72
150 43.58 41.58 45.58 936.92
180 48.25 45.92 50.57 870.34
210 51.68 49.12 54.25 755.63
240 53.7 50.99 56.4 607.69
NaN NaN NaN NaN NaN
EOD
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8600
set bmargin at screen 0.3650
set tmargin at screen 0.8400
set grid xtics ytics back ls 100
set label 'Water in the container, °C (95 % band)' at screen 0.0180,0.8660 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [10:60]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 10,10,60.00001
set xrange [0:240]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 30, '' 60, '' 90, '' 120, '' 150, '' 180, '' 210, '' 240)
set arrow from graph 0, first 43 to graph 1, first 43 nohead lw 1.5 dt (3,3) lc rgb '#000000'
set label '43 °C: target' at graph 0, first 43 left offset 0.6,-0.7 front tc rgb '#000000' font 'Sans,12'
set arrow from graph 0, first 49 to graph 1, first 49 nohead lw 1.5 dt (8,4) lc rgb '#D55E00'
set label '49 °C: scalds from here on' at graph 0, first 49 left offset 0.6,0.7 front tc rgb '#BF5300' font 'Sans,12'
$arrival << EOD
147 43 131.197975 162.802025
NaN NaN NaN NaN
EOD
set arrow from first 147, graph 0 to first 147, first 43 nohead lw 1.2 dt (3,3) lc rgb '#4D4D4D'
set label '11:27 (11:11 to 11:43)' at first 147, first 43 left offset 0.8,-1 front tc rgb '#000000' font 'Sans,13.5'
set label 'store 54 °C' at graph 1, first 53.7372649 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
plot NaN, $trace using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb '#0072B2', $trace using 1:2 with lines lw 3 lc rgb '#0072B2', $arrival using 1:2:3:4 with xerrorbars lw 2.5 pt 7 ps 1.7 lc rgb '#000000'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8600
set bmargin at screen 0.0950
set tmargin at screen 0.2550
set grid xtics ytics back ls 100
set label 'Irradiance in the collector plane, W/m²' at screen 0.0180,0.2810 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:1000]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,500,1000.0005
set xrange [0:240]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('9:00' 0, '9:30' 30, '10:00' 60, '10:30' 90, '11:00' 120, '11:30' 150, '12:00' 180, '12:30' 210, '13:00' 240)
set label 'solar time' at screen 0.4625,0.0325 center front tc rgb '#4D4D4D' font 'Sans,12'
plot $trace using 1:5 with filledcurves y1=0 fs transparent solid 0.15 lc rgb '#E69F00', $trace using 1:5 with lines lw 2 lc rgb '#E69F00'
unset multiplot
unset output
