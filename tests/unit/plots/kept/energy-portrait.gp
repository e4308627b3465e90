# energy-portrait: the same for a telephone, US units; looked at 2026-11-28
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
set label 'Glazed wash stand: 61 % of the sun’s energy stayed in' at screen 0.0500,0.9660 left front tc rgb '#000000' font 'Sans,25.62'
set label 'the water' at screen 0.0500,0.9344 left front tc rgb '#000000' font 'Sans,25.62'
set label 'wash-stand-glazed: Wash stand behind the seedling tunnel, 4 May 2026,' at screen 0.0500,0.8980 left front tc rgb '#4D4D4D' font 'Sans,17.82'
set label '51.87° N, 0.63° E' at screen 0.0500,0.8760 left front tc rgb '#4D4D4D' font 'Sans,17.82'
load 'panel.gp'
set lmargin at screen 0.0500
set rmargin at screen 0.3000
set bmargin at screen 0.0500
set tmargin at screen 0.8000
set grid xtics ytics back ls 100
set object rectangle from screen 0.0500, screen 0.0500 to screen 0.3000, screen 0.5092 front fc rgb '#0072B2' fs solid 0.9 border lc rgb 'white'
set object rectangle from screen 0.0500, screen 0.5092 to screen 0.3000, screen 0.5137 front fc rgb '#56B4E9' fs solid 0.9 border lc rgb 'white'
set object rectangle from screen 0.0500, screen 0.5137 to screen 0.3000, screen 0.5645 front fc rgb '#D55E00' fs solid 0.9 border lc rgb 'white'
set object rectangle from screen 0.0500, screen 0.5645 to screen 0.3000, screen 0.5893 front fc rgb '#E8BFD6' fs solid 0.9 border lc rgb 'white'
set object rectangle from screen 0.0500, screen 0.5893 to screen 0.3000, screen 0.8000 front fc rgb '#F3E9B5' fs solid 0.9 border lc rgb 'white'
set label 'kept in the water' at screen 0.3400,0.2956 left front tc rgb '#000000' font 'Sans,22.27'
set label '61 %, 3030 Btu' at screen 0.3400,0.2636 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'container’s loss' at screen 0.3400,0.4885 left front tc rgb '#000000' font 'Sans,22.27'
set label '1 %, 30 Btu' at screen 0.3400,0.4565 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'collector’s loss' at screen 0.3400,0.5585 left front tc rgb '#000000' font 'Sans,22.27'
set label '7 %, 340 Btu' at screen 0.3400,0.5265 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'warming the collector' at screen 0.3400,0.6285 left front tc rgb '#000000' font 'Sans,22.27'
set label '3 %, 160 Btu' at screen 0.3400,0.5965 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set label 'not absorbed' at screen 0.3400,0.7106 left front tc rgb '#000000' font 'Sans,22.27'
set label '28 %, 1390 Btu' at screen 0.3400,0.6786 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set border 0
set xrange [0:1]
set yrange [0:1]
plot NaN
unset multiplot
unset output
