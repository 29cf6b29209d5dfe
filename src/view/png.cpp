#include <algorithm>
#include <cassert>
#include <cstring>
#include <memory>

#include <cairo.h>

#include "view/picture.h"

namespace underfoot {

namespace {

struct SurfaceEnd {
    void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
};
using SurfaceOwner = std::unique_ptr<cairo_surface_t, SurfaceEnd>;

cairo_status_t append(void* to, const unsigned char* data, unsigned length) {
    static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
}

struct Reading {
    const std::string& bytes;
    size_t at = 0;
};
cairo_status_t take(void* from, unsigned char* data, unsigned length) {
    Reading& reading = *static_cast<Reading*>(from);
    if (reading.bytes.size() - reading.at < length) return CAIRO_STATUS_READ_ERROR;
    std::memcpy(data, reading.bytes.data() + reading.at, length);
    reading.at += length;
    return CAIRO_STATUS_SUCCESS;
}

}  // namespace

std::string encodePng(const Image& image) {
    assert(image.width > 0 && image.height > 0);
    const SurfaceOwner surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, image.width, image.height));
    unsigned char* data = cairo_image_surface_get_data(surface.get());
    const int stride = cairo_image_surface_get_stride(surface.get());
    for (int y = 0; y < image.height; ++y)
        for (int x = 0; x < image.width; ++x) {
            const uint8_t* p = image.at(x, y);
            const uint32_t pixel =
                static_cast<uint32_t>(p[0]) << 16 | static_cast<uint32_t>(p[1]) << 8 | p[2];
            std::memcpy(data + static_cast<ptrdiff_t>(y) * stride + 4 * x, &pixel, 4);
        }
    cairo_surface_mark_dirty(surface.get());
    std::string bytes;
    cairo_surface_write_to_png_stream(surface.get(), append, &bytes);
    return bytes;
}

Result<Image> decodePng(const std::string& bytes) {
    Reading reading{bytes};
    const SurfaceOwner surface(cairo_image_surface_create_from_png_stream(take, &reading));
    const cairo_format_t format = cairo_image_surface_get_format(surface.get());
    if (cairo_surface_status(surface.get()) != CAIRO_STATUS_SUCCESS ||
        (format != CAIRO_FORMAT_RGB24 && format != CAIRO_FORMAT_ARGB32))
        return tl::unexpected(
            Diagnostic{{}, "This is not a PNG picture of 8 bits a channel.", "Export it again."});
    Image image{
        cairo_image_surface_get_width(surface.get()), cairo_image_surface_get_height(surface.get()), {}};
    image.rgba.resize(4 * static_cast<size_t>(image.width) * static_cast<size_t>(image.height));
    const unsigned char* data = cairo_image_surface_get_data(surface.get());
    const int stride = cairo_image_surface_get_stride(surface.get());
    for (int y = 0; y < image.height; ++y)
        for (int x = 0; x < image.width; ++x) {
            uint32_t pixel = 0;
            std::memcpy(&pixel, data + static_cast<ptrdiff_t>(y) * stride + 4 * x, 4);
            uint8_t* out = &image.rgba[4 * (static_cast<size_t>(y) * static_cast<size_t>(image.width) +
                                            static_cast<size_t>(x))];
            out[0] = static_cast<uint8_t>(pixel >> 16 & 255u);
            out[1] = static_cast<uint8_t>(pixel >> 8 & 255u);
            out[2] = static_cast<uint8_t>(pixel & 255u);
            out[3] = 255;
        }
    return image;
}

}  // namespace underfoot
