#include "view/type.h"

#include <filesystem>
#include <fstream>
#include <random>
#include <string_view>
#include <system_error>
#include <vector>

#include <fmt/format.h>
#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>
#include <pango/pangofc-fontmap.h>

#include "view/embedded.h"

namespace underfoot {

namespace {

struct ObjectEnd {
    void operator()(void* object) const { g_object_unref(object); }
};
template <class T>
using Owned = std::unique_ptr<T, ObjectEnd>;

/// Writes an embedded font to a file of its own; an empty path when that is not possible.
std::filesystem::path toFile(const char* name) {
    std::error_code failed;
    const std::filesystem::path folder = std::filesystem::temp_directory_path(failed);
    if (failed) return {};
    std::random_device seed;
    const std::filesystem::path path =
        folder / fmt::format("underfoot-{:08x}{:08x}-{}", seed(), seed(), name);
    const std::string_view bytes = view_assets::embedded(name);
    std::ofstream out(path, std::ios::binary);
    out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    out.close();
    return out ? path : std::filesystem::path{};
}

class PangoType final : public Type {
  public:
    PangoType()
        : config_(FcConfigCreate()), map_(pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT)) {
        for (const char* name : {"Inter-Regular.otf", "Inter-Medium.otf"}) {
            const std::filesystem::path path = toFile(name);
            if (path.empty()) continue;
            files_.push_back(path);
            FcConfigAppFontAddFile(config_, reinterpret_cast<const FcChar8*>(path.c_str()));
        }
        pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(map_.get()), config_);
    }
    ~PangoType() override {
        map_.reset();
        FcConfigDestroy(config_);
        std::error_code ignored;
        for (const auto& file : files_) std::filesystem::remove(file, ignored);
    }
    PangoType(const PangoType&) = delete;
    PangoType& operator=(const PangoType&) = delete;

    glm::dvec2 measure(cairo_t*, const std::string& text, const LetterStyle& style) const override {
        const Set set = layout(text, style);
        int width = 0, height = 0;
        pango_layout_get_size(set.layout.get(), &width, &height);
        return {static_cast<double>(width) / PANGO_SCALE, static_cast<double>(height) / PANGO_SCALE};
    }

    void draw(cairo_t* on, const std::string& text, glm::dvec2 at, double align,
              const LetterStyle& style) const override {
        const Set set = layout(text, style);
        const glm::dvec2 size = measure(on, text, style);
        cairo_set_source_rgba(on, style.colour.x, style.colour.y, style.colour.z, style.alpha);
        cairo_move_to(on, at.x - align * size.x, at.y - 0.5 * size.y);
        pango_cairo_show_layout(on, set.layout.get());
    }

  private:
    struct Set {
        Owned<PangoContext> context;
        Owned<PangoLayout> layout;
    };

    Set layout(const std::string& text, const LetterStyle& style) const {
        Set set;
        set.context.reset(pango_font_map_create_context(map_.get()));
        set.layout.reset(pango_layout_new(set.context.get()));
        PangoFontDescription* font = pango_font_description_from_string("Inter");
        pango_font_description_set_absolute_size(font, style.size * PANGO_SCALE);
        pango_font_description_set_weight(font, style.medium ? PANGO_WEIGHT_MEDIUM : PANGO_WEIGHT_NORMAL);
        pango_layout_set_font_description(set.layout.get(), font);
        pango_font_description_free(font);
        PangoAttrList* features = pango_attr_list_new();
        pango_attr_list_insert(features,
                               pango_attr_font_features_new(style.fractions ? "tnum=1,frac=1" : "tnum=1"));
        pango_layout_set_attributes(set.layout.get(), features);
        pango_attr_list_unref(features);
        pango_layout_set_text(set.layout.get(), text.c_str(), static_cast<int>(text.size()));
        return set;
    }

    FcConfig* config_;
    Owned<PangoFontMap> map_;
    std::vector<std::filesystem::path> files_;
};

}  // namespace

std::unique_ptr<Type> Type::create() {
    return std::make_unique<PangoType>();
}

}  // namespace underfoot
