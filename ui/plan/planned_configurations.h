#pragma once
#include "ui/look/panel.h"
#include "ui/model/session_model.h"

class QPushButton;

namespace ui {

class RowList;

/// Configurations in their order, with buttons to add, move and remove, and what has been read of each.
class PlannedConfigurations : public Panel {
    Q_OBJECT
public:
    explicit PlannedConfigurations(SessionModel& model, QWidget* parent = nullptr);
    void refresh();
    session::ConfigurationId selected() const { return m_selected; }
    void add();
    void removeSelected();
    void moveSelected(int by); ///< places down, negative is up
    RowList& list() { return *m_list; }

signals:
    void selectionChanged();
    void renameAsked();

private:
    struct Row {
        session::ConfigurationId id;
        QString name, group;
        bool baseline = false;
        int read = 0; ///< accepted trials that aren't rejected
        std::optional<int> planned;
    };
    void paintRow(QPainter& painter, const QRect& rect, int row, bool selected) const;
    int rowOf(session::ConfigurationId id) const; ///< -1 when it isn't there

    SessionModel& m_model;
    QVector<Row> m_rows;
    session::ConfigurationId m_selected;
    std::int64_t m_added = 0; ///< number of the configuration just added, to be selected when it arrives
    RowList* m_list = nullptr;
    QWidget* m_empty = nullptr;
    QPushButton *m_up = nullptr, *m_down = nullptr, *m_remove = nullptr;
};

} // namespace ui
