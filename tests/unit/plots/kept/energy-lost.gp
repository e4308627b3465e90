# energy-lost: next to nothing kept, for a telephone; looked at 2026-11-28
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
set label 'Doubtful: Glazed wash stand: 0 % of the sun’s energy' at screen 0.0500,0.9660 left front tc rgb '#000000' font 'Sans,25.62'
set label 'stayed in the water' at screen 0.0500,0.9344 left front tc rgb '#000000' font 'Sans,25.62'
set label 'wash-stand-glazed: Wash stand behind the seedling tunnel, 4 May 2026,' at screen 0.0500,0.8980 left front tc rgb '#4D4D4D' font 'Sans,17.82'
set label '51.87° N, 0.63° E' at screen 0.0500,0.8760 left front tc rgb '#4D4D4D' font 'Sans,17.82'
load 'panel.gp'
set lmargin at screen 0.0500
set rmargin at screen 0.3000
set bmargin at screen 0.0500
set tmargin at screen 0.8000
set grid xtics ytics back ls 100
set object rectangle from screen 0.0500, screen 0.0500 to screen 0.3000, screen 0.0530 front fc rgb '#0072B2' fs solid 0.9 border lc rgb 'white'
set object rectangle from screen 0.0500, screen 0.0530 to screen 0.3000, screen 0.0605 front fc rgb '#56B4E9' fs solid 0.9 border lc rgb 'white'
set object rectangle from screen 0.0500, screen 0.0605 to screen 0.3000, screen 0.1440 front fc rgb '#D55E00' fs solid 0.9 border lc rgb 'white'
set object rectangle from screen 0.0500, screen 0.1440 to screen 0.3000, screen 0.4717 front fc rgb '#E8BFD6' fs solid 0.9 border lc rgb 'white'
set object rectangle from screen 0.0500, screen 0.4717 to screen 0.3000, screen 0.8000 front fc rgb '#F3E9B5' fs solid 0.9 border lc rgb 'white'
set label 'kept in the water' at screen 0.3400,0.0860 left front tc rgb '#000000' font 'Sans,22.27'
set label 'under 1 %' at screen 0.3400,0.0540 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'container’s loss' at screen 0.3400,0.1560 left front tc rgb '#000000' font 'Sans,22.27'
set label '1 %, 0.05 MJ' at screen 0.3400,0.1240 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'collector’s loss' at screen 0.3400,0.2260 left front tc rgb '#000000' font 'Sans,22.27'
set label '11 %, 0.58 MJ' at screen 0.3400,0.1940 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'warming the collector' at screen 0.3400,0.3239 left front tc rgb '#000000' font 'Sans,22.27'
set label '44 %, 2.28 MJ' at screen 0.3400,0.2919 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'not absorbed' at screen 0.3400,0.6518 left front tc rgb '#000000' font 'Sans,22.27'
set label '44 %, 2.29 MJ' at screen 0.3400,0.6198 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set border 0
set xrange [0:1]
set yrange [0:1]
plot NaN
unset multiplot
unset output
