// Run by the build: writes a C++ file that holds every grain as the bytes of a PNG file.
//   draw_grains OUT.cpp

#include <cstdio>
#include <memory>
#include <string>
#include <vector>

#include "share/grain/draw_grain.h"
#include "share/png.h"

namespace {

struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
};

void writeBytes(std::FILE* out, size_t number, const std::string& bytes) {
    std::fprintf(out, "const unsigned char data%zu[] = {", number);
    for (const char byte : bytes) std::fprintf(out, "%u,", static_cast<unsigned char>(byte));
    std::fputs("};\n", out);
}

void writeEntry(std::FILE* out, size_t number, const underfoot::DrawnGrain& grain) {
    const std::string kind(grain.kind);
    std::fprintf(out,
                 "    {\"%s\", {reinterpret_cast<const char*>(data%zu), sizeof data%zu}, %.17g, %.17g},\n",
                 kind.c_str(), number, number, grain.tile, grain.meanLinear);
}

}  // namespace

int main(int count, char** words) {
    if (count != 2) return 2;
    const std::unique_ptr<std::FILE, Close> out(std::fopen(words[1], "w"));
    if (!out) return 1;
    const auto grains = underfoot::drawGrains();
    std::fputs("// Made by the build.\n#include \"share/grain.h\"\n\nnamespace underfoot {\nnamespace {\n",
               out.get());
    for (size_t i = 0; i < grains.size(); ++i)
        writeBytes(out.get(), i, underfoot::encodePng(grains[i].pixels));
    std::fputs("const Grain table[] = {\n", out.get());
    for (size_t i = 0; i < grains.size(); ++i) writeEntry(out.get(), i, grains[i]);
    std::fputs(
        "};\n}  // namespace\n\nstd::span<const Grain> allGrains() { return table; }\n\n}  // namespace "
        "underfoot\n",
        out.get());
    return std::fflush(out.get()) == 0 ? 0 : 1;
}
