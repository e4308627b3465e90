# predict-steady: steady sun, reached late; looked at 2026-11-28
load 'head.gp'
set label '43 °C after 200 min (95 %: 184 to 216)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 40 kg of water, steady sun of 900 W/m², air at 22 °C' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
$trace << EOD
0 15 15 15 900
30 22.65 22.12 23.19 900
60 29.49 28.48 30.5 900
90 35.59 34.15 37.04 900
120 41.05 39.22 42.87 900
150 45.91 43.75 48.08 900
180 50.26 47.79 52.73 900
210 54.14 51.4 56.88 900
240 57.61 54.62 60.59 900
NaN NaN NaN NaN NaN
EOD
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.8600
set bmargin at screen 0.3650
set tmargin at screen 0.8400
set grid xtics ytics back ls 100
set label 'Water in the container, °C (95 % band)' at screen 0.0180,0.8660 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [10:70]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 10,10,70.00001
set xrange [0:240]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('' 0, '' 20, '' 40, '' 60, '' 80, '' 100, '' 120, '' 140, '' 160, '' 180, '' 200, '' 220, '' 240)
set arrow from graph 0, first 43 to graph 1, first 43 nohead lw 1.5 dt (3,3) lc rgb '#000000'
set label '43 °C: target' at graph 0, first 43 left offset 0.6,-0.7 front tc rgb '#000000' font 'Sans,12'
set arrow from graph 0, first 49 to graph 1, first 49 nohead lw 1.5 dt (8,4) lc rgb '#D55E00'
set label '49 °C: scalds from here on' at graph 0, first 49 left offset 0.6,0.7 front tc rgb '#BF5300' font 'Sans,12'
$arrival << EOD
200 43 184.197975 215.802025
NaN NaN NaN NaN
EOD
set arrow from first 200, graph 0 to first 200, first 43 nohead lw 1.2 dt (3,3) lc rgb '#4D4D4D'
set label '200 min (184 to 216)' at first 200, first 43 right offset -0.8,1 front tc rgb '#000000' font 'Sans,13.5'
set label 'store 58 °C' at graph 1, first 57.7152832 left offset 0.6,0 front tc rgb '#0072B2' font 'Sans,12'
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
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '20' 20, '40' 40, '60' 60, '80' 80, '100' 100, '120' 120, '140' 140, '160' 160, '180' 180, '200' 200, '220' 220, '240' 240)
set label 'minutes from the start' at screen 0.4625,0.0325 center front tc rgb '#4D4D4D' font 'Sans,12'
plot $trace using 1:5 with filledcurves y1=0 fs transparent solid 0.15 lc rgb '#E69F00', $trace using 1:5 with lines lw 2 lc rgb '#E69F00'
unset multiplot
unset output
