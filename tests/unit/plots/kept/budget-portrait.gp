# budget-portrait: thirteen inputs for a telephone, US units; looked at 2026-11-28
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
set label 'Doubtful: What limits the answer: irradiance sensor,' at screen 0.0500,0.9660 left front tc rgb '#000000' font 'Sans,25.62'
set label 'gain' at screen 0.0500,0.9344 left front tc rgb '#000000' font 'Sans,25.62'
set label 'Glazed wash stand: wash-stand-glazed: Wash stand behind the seedling tunnel,' at screen 0.0500,0.8980 left front tc rgb '#4D4D4D' font 'Sans,17.82'
set label '4 May 2026, 51.87° N, 0.63° E' at screen 0.0500,0.8760 left front tc rgb '#4D4D4D' font 'Sans,17.82'
load 'panel.gp'
set lmargin at screen 0.0000
set rmargin at screen 1.0000
set bmargin at screen 0.0000
set tmargin at screen 1.0000
set grid xtics ytics back ls 100
set label 'Input, and what would help' at screen 0.0500,0.8470 left front tc rgb '#000000' font 'Sans,22.27'
set label '± of η₀ (95 %)' at screen 0.0500,0.8150 left front tc rgb '#000000' font 'Sans,19.8'
set label '± of a₁, Btu/(h ft² °F)' at screen 0.5200,0.8150 left front tc rgb '#000000' font 'Sans,19.8'
set label 'all together, as the roots of squares add' at screen 0.0500,0.7550 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set object rectangle from screen 0.0500, screen 0.7030 to screen 0.2700, screen 0.7283 front fc rgb '#8A8A8A' fs solid 0.85 border lc rgb '#8A8A8A'
set label '0.044' at screen 0.2850,0.7156 left front tc rgb '#000000' font 'Sans,19.8'
set object rectangle from screen 0.5200, screen 0.7030 to screen 0.7400, screen 0.7283 front fc rgb '#8A8A8A' fs solid 0.85 border lc rgb '#8A8A8A'
set label '0.22' at screen 0.7550,0.7156 left front tc rgb '#000000' font 'Sans,19.8'
set label 'irradiance sensor, gain' at screen 0.0500,0.6736 left front tc rgb '#000000' font 'Sans,19.8'
set label 'a longer test' at screen 0.0620,0.6488 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set object rectangle from screen 0.0500, screen 0.6092 to screen 0.2599, screen 0.6345 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.042' at screen 0.2850,0.6219 left front tc rgb '#000000' font 'Sans,19.8'
set object rectangle from screen 0.5200, screen 0.6092 to screen 0.6023, screen 0.6345 front fc rgb '#56B4E9' fs solid 0.85 border lc rgb '#56B4E9'
set label '0.08' at screen 0.7550,0.6219 left front tc rgb '#000000' font 'Sans,19.8'
set label 'random: noise, wind, mixing' at screen 0.0500,0.5799 left front tc rgb '#000000' font 'Sans,19.8'
set label 'a longer test' at screen 0.0620,0.5551 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set object rectangle from screen 0.0500, screen 0.5155 to screen 0.0912, screen 0.5408 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.008' at screen 0.2850,0.5281 left front tc rgb '#000000' font 'Sans,19.8'
set object rectangle from screen 0.5200, screen 0.5155 to screen 0.6626, screen 0.5408 front fc rgb '#56B4E9' fs solid 0.85 border lc rgb '#56B4E9'
set label '0.14' at screen 0.7550,0.5281 left front tc rgb '#000000' font 'Sans,19.8'
set label 'gross area' at screen 0.0500,0.4861 left front tc rgb '#000000' font 'Sans,19.8'
set label 'a longer test' at screen 0.0620,0.4613 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set object rectangle from screen 0.0500, screen 0.4217 to screen 0.0819, screen 0.4470 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.006' at screen 0.2850,0.4344 left front tc rgb '#000000' font 'Sans,19.8'
set object rectangle from screen 0.5200, screen 0.4217 to screen 0.5420, screen 0.4470 front fc rgb '#56B4E9' fs solid 0.85 border lc rgb '#56B4E9'
set label '0.02' at screen 0.7550,0.4344 left front tc rgb '#000000' font 'Sans,19.8'
set label 'store sensor, offset' at screen 0.0500,0.3924 left front tc rgb '#000000' font 'Sans,19.8'
set label 'a longer test' at screen 0.0620,0.3676 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set object rectangle from screen 0.0500, screen 0.3280 to screen 0.0697, screen 0.3533 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.004' at screen 0.2850,0.3406 left front tc rgb '#000000' font 'Sans,19.8'
set object rectangle from screen 0.5200, screen 0.3280 to screen 0.6080, screen 0.3533 front fc rgb '#56B4E9' fs solid 0.85 border lc rgb '#56B4E9'
set label '0.09' at screen 0.7550,0.3406 left front tc rgb '#000000' font 'Sans,19.8'
set label 'air sensor, offset' at screen 0.0500,0.2986 left front tc rgb '#000000' font 'Sans,19.8'
set label 'a longer test' at screen 0.0620,0.2738 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set object rectangle from screen 0.0500, screen 0.2342 to screen 0.0656, screen 0.2595 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.003' at screen 0.2850,0.2469 left front tc rgb '#000000' font 'Sans,19.8'
set object rectangle from screen 0.5200, screen 0.2342 to screen 0.6232, screen 0.2595 front fc rgb '#56B4E9' fs solid 0.85 border lc rgb '#56B4E9'
set label '0.10' at screen 0.7550,0.2469 left front tc rgb '#000000' font 'Sans,19.8'
set label 'flow sensor, gain' at screen 0.0500,0.2049 left front tc rgb '#000000' font 'Sans,19.8'
set label 'a longer test' at screen 0.0620,0.1801 left front tc rgb '#4D4D4D' font 'Sans,19.8'
set object rectangle from screen 0.0500, screen 0.1405 to screen 0.0598, screen 0.1658 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.002' at screen 0.2850,0.1531 left front tc rgb '#000000' font 'Sans,19.8'
set object rectangle from screen 0.5200, screen 0.1405 to screen 0.5581, screen 0.1658 front fc rgb '#56B4E9' fs solid 0.85 border lc rgb '#56B4E9'
set label '0.04' at screen 0.7550,0.1531 left front tc rgb '#000000' font 'Sans,19.8'
set label 'everything else (7)' at screen 0.0500,0.0987 left front tc rgb '#000000' font 'Sans,19.8'
set object rectangle from screen 0.0500, screen 0.0467 to screen 0.1030, screen 0.0720 front fc rgb '#0072B2' fs solid 0.85 border lc rgb '#0072B2'
set label '0.011' at screen 0.2850,0.0594 left front tc rgb '#000000' font 'Sans,19.8'
set object rectangle from screen 0.5200, screen 0.0467 to screen 0.5761, screen 0.0720 front fc rgb '#56B4E9' fs solid 0.85 border lc rgb '#56B4E9'
set label '0.06' at screen 0.7550,0.0594 left front tc rgb '#000000' font 'Sans,19.8'
set border 0
set xrange [0:1]
set yrange [0:1]
plot NaN
unset multiplot
unset output
