set encoding utf8
set format '%h'
set terminal pngcairo size 1200,800 noenhanced background rgb 'white' font 'Sans,12'
set minussign
set border 1 lw 1 lc rgb '#9A9A9A'
set style line 100 lw 1 lc rgb '#E3E3E3' dt solid
set style fill transparent solid 0.18 noborder
set errorbars 0.5
set key noautotitle
unset key
set multiplot
