# SPDX-License-Identifier: GPL-3.0-or-later
# cmake -DOUT=web.c -DFOLDER=web -P embed.cmake: the page's files as arrays of bytes.
set(text "/* Made by embed.cmake. */\n#include \"logger/serve/inside.h\"\n\n")
foreach(pair page=page.html script=page.js style=page.css icon=icon.svg)
  string(REPLACE "=" ";" pair ${pair})
  list(GET pair 0 name)
  list(GET pair 1 file)
  file(READ ${FOLDER}/${file} bytes HEX)
  string(REGEX REPLACE "(..)" "0x\\1," bytes "${bytes}")
  string(APPEND text "static const unsigned char ${name}_bytes[] = {\n${bytes}\n};\n"
         "const nr_web_file nr_web_${name} = {${name}_bytes, sizeof ${name}_bytes};\n\n")
endforeach()
file(WRITE ${OUT} "${text}")
