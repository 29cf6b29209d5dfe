#include "share/png.h"

#include <cairo.h>

#include <cassert>
#include <memory>

namespace underfoot {
namespace {

cairo_status_t append(void* closure, const unsigned char* data, unsigned int length) {
    static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
}

struct Destroy {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};

}  // namespace

std::string encodePng(const Pixels& pixels) {
    assert(pixels.channels == 1 || pixels.channels == 3);
    assert(pixels.bytes.size() == static_cast<size_t>(pixels.width * pixels.height * pixels.channels));
    const bool grey = pixels.channels == 1;
    // cairo writes its 8-bit surfaces as grey pictures.
    const std::unique_ptr<cairo_surface_t, Destroy> surface(
        cairo_image_surface_create(grey ? CAIRO_FORMAT_A8 : CAIRO_FORMAT_RGB24, pixels.width, pixels.height));
    assert(cairo_surface_status(surface.get()) == CAIRO_STATUS_SUCCESS);
    cairo_surface_flush(surface.get());
    unsigned char* rows = cairo_image_surface_get_data(surface.get());
    const int stride = cairo_image_surface_get_stride(surface.get());
    for (int y = 0; y < pixels.height; ++y)
        for (int x = 0; x < pixels.width; ++x) {
            const uint8_t* from = pixels.bytes.data() + (y * pixels.width + x) * pixels.channels;
            unsigned char* row = rows + y * stride;
            if (grey)
                row[x] = from[0];
            else
                reinterpret_cast<uint32_t*>(row)[x] =
                    uint32_t{from[0]} << 16 | uint32_t{from[1]} << 8 | from[2];
        }
    cairo_surface_mark_dirty(surface.get());
    std::string out;
    const cairo_status_t status = cairo_surface_write_to_png_stream(surface.get(), append, &out);
    assert(status == CAIRO_STATUS_SUCCESS);
    (void)status;
    return out;
}

}  // namespace underfoot
