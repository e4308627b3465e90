# fit-portrait: the same for a telephone, US units; looked at 2026-11-28
set encoding utf8
set format '%h'
set terminal pngcairo size 1080,1350 noenhanced background rgb 'white' font 'Sans,19.8'
set minussign
set border 1 lw 1 lc rgb '#9A9A9A'
set style line 100 lw 1 lc rgb '#E3E3E3' dt solid
set style fill transparent solid 0.18 noborder
set errorbars 0.5
set key noautotitle
unset key
set multiplot
set label 'Glazed wash stand: 71 % at zero loss, 1.4 Btu/(h ft² °F)' at screen 0.0500,0.9660 left front tc rgb '#000000' font 'Sans,25.62'
set label 'wash-stand-glazed: Wash stand behind the seedling tunnel, 4 May 2026,' at screen 0.0500,0.9300 left front tc rgb '#4D4D4D' font 'Sans,17.82'
set label '51.87° N, 0.63° E' at screen 0.0500,0.9080 left front tc rgb '#4D4D4D' font 'Sans,17.82'
load 'panel.gp'
set lmargin at screen 0.1200
set rmargin at screen 0.9500
set bmargin at screen 0.3900
set tmargin at screen 0.7150
set grid xtics ytics back ls 100
set label 'Efficiency, 95 % band (dashed: extrapolated)' at screen 0.0500,0.8150 left front tc rgb '#000000' font 'Sans,22.27'
set yrange [0.2:0.9]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,19.8' 0.2,0.1,0.9000001
set xrange [-0.0670035074:0.294134041]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,19.8' -0.1,0.1,0.3000001
set label '(temperature − air) / irradiance, h ft² °F/Btu' at screen 0.5350,0.3289 center front tc rgb '#4D4D4D' font 'Sans,19.8'
set x2range [-19.116:83.916]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,19.8' -0,20,80.00002
set border 5
set label '°F warmer than the air, in 285 Btu/(h ft²) of sun' at screen 0.5350,0.7710 center front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'Numbers' at screen 0.0500,0.2620 left front tc rgb '#000000' font 'Sans,22.27'
set label '95 % interval' at screen 0.6350,0.2620 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'zero-loss efficiency η₀' at screen 0.0500,0.2240 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label '0.712' at screen 0.6200,0.2240 right front tc rgb '#000000' font 'Sans,22.27'
set label '0.668 to 0.756' at screen 0.6350,0.2240 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'loss a₁, Btu/(h ft² °F)' at screen 0.0500,0.1900 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label '1.43' at screen 0.6200,0.1900 right front tc rgb '#000000' font 'Sans,22.27'
set label '1.21 to 1.65' at screen 0.6350,0.1900 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'efficiency of the run' at screen 0.0500,0.1560 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label '0.612' at screen 0.6200,0.1560 right front tc rgb '#000000' font 'Sans,22.27'
set label '0.577 to 0.648' at screen 0.6350,0.1560 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'stagnation above air, °F' at screen 0.0500,0.1220 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label '158' at screen 0.6200,0.1220 right front tc rgb '#000000' font 'Sans,22.27'
set label '136 to 181' at screen 0.6350,0.1220 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'per gross area; collector at its mean temperature' at screen 0.0500,0.0880 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'stagnation may well be higher than this' at screen 0.0500,0.0540 left front tc rgb '#4D4D4D' font 'Sans,19.8'
$curve << EOD
-0.0567826334 0.79 0.74 0.84 NaN 0.79
0.0113565267 0.7 0.65 0.74 0.7 0.7
0.0794956868 0.6 0.55 0.65 0.6 0.6
0.147634847 0.5 0.44 0.57 NaN 0.5
0.215774007 0.4 0.32 0.49 NaN 0.4
0.283913167 0.31 0.2 0.42 NaN 0.31
NaN NaN NaN NaN NaN NaN
EOD
$loose << EOD
-0.0261200114 0.75 0.024
0.00794956868 0.7 0.024
NaN NaN NaN
EOD
$steady << EOD
0.0420191487 0.66 0.024
0.0760887288 0.61 0.024
NaN NaN NaN
EOD
set label '● steady, ○ other means of some minutes' at screen 0.1300,0.4140 left front tc rgb '#4D4D4D' font 'Sans,19.8'
plot NaN, $curve using 1:3:4 with filledcurves fs transparent solid 0.18 lc rgb '#0072B2', $curve using 1:6 with lines lw 2 dt (8,5) lc rgb '#0072B2', $curve using 1:5 with lines lw 3 lc rgb '#0072B2', $loose using 1:2:3 with yerrorbars lw 1 pt 6 ps 1 lc rgb '#4D4D4D', $steady using 1:2:3 with yerrorbars lw 1.5 pt 7 ps 1.1 lc rgb '#000000'
unset multiplot
unset output
